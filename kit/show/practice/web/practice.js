// The practice page: what is asked, what a hand does on the floor, what is seen, marks.

export default {
  render({ model, el }) {
    const working = h("span", { class: "ufk-working", role: "status" });
    const post = new Post(model, (on) => say(working, on ? "working …" : ""));
    const hands = workbench(model, post), last = seen(model);
    const root = h("div", { class: "ufk-board ufk-practice" },
      begin(model, post, working),
      task(model),
      h("div", { class: "ufk-body" },
        h("div", { class: "ufk-pictures" }, last.above, hands.ground.element, last.below),
        hands.element),
      html(model, post, "marks", "ufk-verdict", "marks", true),
      html(model, post, "log", "ufk-log", "moves so far"));
    // Keys are ours while the focus is in the page: see the setting-out board.
    root.addEventListener("focusin", (event) => {
      event.target.setAttribute("data-lm-suppress-shortcuts", "true");
    });
    el.append(root);
    const widths = { told: 0, timer: 0 };
    const watch = new ResizeObserver(() => {
      clearTimeout(widths.timer);
      widths.timer = setTimeout(() => tellWidth(root, widths, post), widths.told ? 120 : 0);
    });
    watch.observe(root);
    return () => watch.disconnect();
  },
};

/** Tell Python how much room the pictures have. */
function tellWidth(root, widths, post) {
  const wide = Math.floor(root.querySelector(".ufk-pictures").clientWidth);
  if (wide < 50 || widths.told === wide) return;
  widths.told = wide;
  post.send({ kind: "room", wide, whole: Math.floor(root.clientWidth) });
}

/** Who practises what: nickname and folder, drill, grade, seed. */
function begin(model, post, working) {
  const box = (label, wide) => h("input", { type: "text", "aria-label": label, autocomplete: "off",
    spellcheck: "false", class: wide ? "ufk-box ufk-wide" : "ufk-box" });
  const select = (label) => h("select", { "aria-label": label, class: "ufk-select" });
  const drill = select("drill"), grade = select("grade of the floor");
  const seed = box("seed of the floor"), nickname = box("nickname", true), folder = box("folder for records", true);
  nickname.placeholder = "nickname";
  folder.placeholder = "folder for records";
  const message = (kind) => ({ kind, drill: drill.value, grade: grade.value, seed: seed.value,
    nickname: nickname.value, folder: folder.value });
  const button = (words, kind) => {
    const made = h("button", { type: "button" }, words);
    made.addEventListener("click", () => post.send(message(kind)));
    return made;
  };
  const problems = h("div", { class: "ufk-problems", role: "alert" });
  const notice = h("p", { class: "ufk-notice", role: "status" });
  const named = (words, control) => h("label", { class: "ufk-named" }, h("span", {}, words), control);
  const show = () => {
    const said = model.get("setup");
    options(drill, said.drills, said.drill);
    options(grade, said.grades, said.grade);
    for (const [control, text] of [[seed, said.seed], [nickname, said.nickname], [folder, said.folder]]) {
      if (document.activeElement !== control || !control.value) control.value = text;
    }
    keyed(problems, said.problems, (words) => words, () => h("div"), (line, words) => say(line, `✗ ${words}`));
    say(notice, said.notice);
  };
  model.on("change:setup", show);
  show();
  // A choice that was refused twice in the same words changes nothing here, and would stand.
  post.rest.push(() => { [drill.value, grade.value] = [model.get("setup").drill, model.get("setup").grade]; });
  // What was done is not thrown away by a list that is turned: then it takes the button.
  const turn = () => {
    const { closed, moves } = model.get("task");
    if (closed || !moves) post.send(message("begin"));
    else say(notice, "Press “begin” for this: the moves made so far are dropped.");
  };
  for (const control of [drill, grade]) control.addEventListener("change", turn);
  for (const control of [nickname, folder]) {
    control.addEventListener("change", () => post.send(message("who")));
  }
  seed.addEventListener("keydown", (event) => event.key === "Enter" && post.send(message("begin")));
  return h("header", { class: "ufk-begin" },
    h("div", { class: "ufk-line" }, named("drill", drill), named("floor", grade), named("seed", seed),
      button("begin", "begin"), button("another floor", "another"), working),
    h("div", { class: "ufk-line" }, named("nickname", nickname), named("records in", folder)),
    problems, notice);
}

/** Put choices into a list and choose one. */
function options(select, choices, chosen) {
  if (select.ufkShown !== JSON.stringify(choices)) {
    select.replaceChildren(...choices.map(([value, words]) => h("option", { value }, words)));
    select.ufkShown = JSON.stringify(choices);
  }
  select.value = chosen;
}

/** What is asked, and what is given. */
function task(model) {
  const title = h("h2"), aim = h("p", { class: "ufk-aim" }), given = h("div", { class: "ufk-given" });
  const rule = h("div"), marked = h("details", { class: "ufk-rule" }, h("summary", {}, "how it is marked"), rule);
  const section = h("section", { class: "ufk-task", "aria-label": "task" }, title, aim, given, marked);
  const show = () => {
    const said = model.get("task");
    put(section, "data-task", said.id);
    say(title, said.title);
    say(aim, said.aim);
    draw(given, said.given);
    draw(rule, said.rule);
  };
  model.on("change:task", show);
  show();
  return section;
}

/** Moves, hints and the answer; what is typed stays while the task is the same. */
function workbench(model, post) {
  const moves = h("div"), answer = h("div"), problems = h("div", { class: "ufk-problems", role: "alert" });
  const score = h("p", { class: "ufk-score" });
  const kept = { id: -1, forms: [], answer: undefined };
  // What is meant for one floor is not done on the next: each message tells which was shown.
  const hands = { view: newView(), send: (message) => post.send({ ...message, task: kept.id }), targets: () => {
    const forms = kept.forms.filter((one) => one.said.drag.length)
      .map((one) => ({ id: one.said.kind, label: one.said.label, keys: one.said.drag, form: one }));
    const place = [...(kept.answer?.fields.values() ?? [])].filter((one) => one.field.kind === "place")
      .map(({ field }) => ({ id: `answer-${field.key}`, label: `answer: ${field.label}`, keys: [field.key],
        form: kept.answer, answers: true }));
    return kept.closed ? [] : [...forms, ...place];
  } };
  const hint = h("button", { type: "button" });
  hint.addEventListener("click", () => hands.send({ kind: "hint" }));
  hands.ground = ground(model, hands);
  const show = () => {
    const said = model.get("task");
    if (said.id !== kept.id) {
      kept.id = said.id;
      kept.forms = said.forms.map((one) => form(one, hands, "move"));
      kept.answer = form({ kind: "answer", label: "mark it", fields: said.asked, drag: [], turn: "", strong: true }, hands, "answer");
      moves.replaceChildren(...kept.forms.map((one, place) => one.said.fields.length
        ? details(one.said.label, one.element, place < OPEN_MOVES) : h("div", { class: "ufk-move" }, one.element)));
      answer.replaceChildren(kept.answer.element);
      for (const one of kept.forms) one.element.addEventListener("input", hands.ground.showEnds);
    }
    kept.closed = said.closed;
    for (const one of [...kept.forms, kept.answer]) {
      for (const button of one.buttons) button.disabled = said.closed;
    }
    say(hint, said.hints_left ? `a hint (costs ${said.hint_cost} marks; ${said.hints_left} left)` : "no hints left");
    put(hint, "aria-disabled", said.closed || !said.hints_left);
    say(score, said.score);
    hands.ground.take();
  };
  const showSaid = () => {
    const said = model.get("said");
    showProblems([...kept.forms, kept.answer], said.problems);
    keyed(problems, said.problems.filter((one) => !one.form), (one) => one.words, () => h("div"),
      (line, one) => say(line, `✗ ${one.words}`));
    for (const one of kept.forms.filter((form_) => form_.said.kind === said.fill.form)) {
      for (const [key, text] of Object.entries(said.fill.typed)) one.fields.get(key).box.value = text;
    }
    hands.ground.showEnds();
  };
  model.on("change:task", show);
  model.on("change:said", showSaid);
  show();
  showSaid();
  hands.element = h("section", { class: "ufk-controls", "aria-label": "moves and answer" },
    h("h3", {}, "moves"), moves, problems, score, hint, h("h3", {}, "answer"), answer);
  return hands;
}

/** So many moves stand open at first; the others are folded, not to push the answer out of sight. */
const OPEN_MOVES = 4;

/** A part that can be folded. */
function details(words, content, open) {
  return h("details", { open, class: "ufk-move" }, h("summary", {}, words), content);
}

/** What the last move showed: read out and drawn over the plan, its tables below it. */
function seen(model) {
  const words = h("p", { class: "ufk-seen", role: "status" }), drawn = h("div", { class: "ufk-scroll", tabindex: "0",
    role: "region", "aria-label": "what the last move showed" });
  const above = h("section", { class: "ufk-last", "aria-label": "last move" }, words, drawn);
  const below = h("div", { class: "ufk-last-tables" });
  const kept = { task: -1, tall: 0 };
  const show = () => {
    const said = model.get("last"), task = model.get("task").id;
    say(words, said.words);
    draw(drawn, said.html);
    draw(below, said.tables);
    drawn.hidden = !said.html;
    // Once a bubble was drawn its room is kept: the plan must not jump under the hand.
    if (kept.task !== task) kept.tall = 0;
    kept.task = task;
    above.style.minHeight = "";
    kept.tall = Math.max(kept.tall, above.offsetHeight);
    above.style.minHeight = said.words ? `${kept.tall}px` : "";
  };
  model.on("change:last", show);
  show();
  return { above, below };
}

/** A part that Python writes in full; where it is an answer it comes into sight, once, to who asked. */
function html(model, post, name, style, label, comes = false) {
  const section = h("section", { class: style, "aria-label": label, tabindex: comes ? "-1" : "0" });
  const show = () => {
    const text = model.get(name), was = section.ufkShown;
    draw(section, text);
    section.hidden = !text;
    if (!comes) section.scrollTop = section.scrollHeight; // the newest is in sight
    if (comes && text && was === "" && post.busy) section.focus();
  };
  model.on(`change:${name}`, show);
  show();
  return section;
}
