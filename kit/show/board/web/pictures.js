// What Python draws in full: the elevation of a row, one stack large, what cannot be, the figures.

/** Let a press on a stack that is drawn choose it. */
function pressStacks(container, post) {
  const choose = (event) => {
    const stack = event.target.closest?.(".ufk-stack");
    if (stack) post.send({ kind: "choose", support: stack.dataset.support });
    return Boolean(stack);
  };
  container.addEventListener("click", choose);
  container.addEventListener("keydown", (event) => {
    if ((event.key === "Enter" || event.key === " ") && choose(event)) event.preventDefault();
  });
}

function elevation(model, post) {
  const rows = h("div", { class: "ufk-rows", role: "radiogroup", "aria-label": "row drawn" });
  const scroll = h("div", { class: "ufk-scroll", tabindex: "0", role: "region",
    "aria-label": "elevation, scrolls sideways where it is wide" });
  const stale = h("p", { class: "ufk-stale" });
  pressStacks(scroll, post);
  const show = () => {
    const said = model.get("elevation");
    keyed(rows, said.rows, (one) => one.name, (one) => rowButton(one, post), (label, one) => {
      label.firstChild.checked = one.name === said.row;
      say(label.lastChild, one.label);
    });
    draw(scroll, said.svg);
    say(stale, said.stale);
  };
  model.on("change:elevation", show);
  show();
  return h("section", { class: "ufk-elevation", "aria-label": "elevation of a row" },
    rows, stale, scroll);
}

/** What carries the row drawn: the bearer under its loads, and what each stack gives. */
function loads(model, post) {
  const cases = h("div", { class: "ufk-rows", role: "radiogroup", "aria-label": "loads drawn" });
  const scroll = h("div", { class: "ufk-scroll", tabindex: "0", role: "region",
    "aria-label": "loads on the bearer, scrolls sideways where it is wide" });
  const approval = h("p", { class: "ufk-hint" });
  pressStacks(scroll, post);
  const show = () => {
    const said = model.get("loads");
    if (!said.cases) return;
    keyed(cases, said.cases, (one) => one.name, (one) => caseButton(one, post), (label, one) => {
      label.firstChild.checked = one.name === said.case;
      say(label.lastChild, one.label);
    });
    draw(scroll, said.svg);
    say(approval, said.approval);
  };
  model.on("change:loads", show);
  show();
  return h("section", { class: "ufk-loads", "aria-label": "what carries the bearer" },
    cases, scroll, approval);
}

function caseButton(one, post) {
  const input = h("input", { type: "radio", name: `ufk-case-${groups}`, value: one.name });
  input.addEventListener("change", () => post.send({ kind: "case", name: one.name }));
  return h("label", { class: "ufk-row" }, input, h("span"));
}

let groups = 0;

function rowButton(one, post) {
  const input = h("input", { type: "radio", name: `ufk-row-${groups}`, value: one.name });
  input.addEventListener("change", () => post.send({ kind: "row", row: one.name }));
  return h("label", { class: "ufk-row" }, input, h("span"));
}

function stack(model, post) {
  const title = h("h3");
  const drawing = h("div", { class: "ufk-scroll" });
  const words = h("ul", { class: "ufk-words" });
  const stale = h("p", { class: "ufk-stale" });
  const back = h("button", { type: "button" }, "hand back to the rules");
  const nudge = (words, label, steps) => {
    const made = h("button", { type: "button", "aria-label": label }, words);
    made.addEventListener("click", () => post.send({
      kind: "nudge", support: model.get("stack").name, steps, gesture: keyGesture(made),
    }));
    return made;
  };
  const box = numberBox("place", "place along the run", post);
  const unit = h("span", { class: "ufk-unit" });
  const error = h("span", { class: "ufk-error" });
  const along = h("div", { class: "ufk-line" },
    h("span", { "aria-hidden": "true" }, "place along the run"),
    nudge("◀", "a step to the left", -1), box, unit, nudge("▶", "a step to the right", 1), error);
  const close = h("button", { type: "button" }, "close");
  back.addEventListener("click", () => post.send({ kind: "hand_back", support: model.get("stack").name }));
  close.addEventListener("click", () => post.send({ kind: "choose", support: "" }));
  const root = h("section", { class: "ufk-stack-large", "aria-label": "one stack, large" },
    h("div", { class: "ufk-line" }, title, back, close), along, stale, drawing, words);
  const show = () => {
    const said = model.get("stack");
    root.hidden = !said.name;
    say(title, said.name ? `Stack ${said.name}` : "");
    back.hidden = !said.by_hand;
    say(stale, said.stale);
    showBox(box, said.place, said.error);
    say(unit, said.unit);
    say(error, said.error);
    draw(drawing, said.svg);
    keyed(words, said.words.map((text, place) => ({ text, place })), (one) => one.place,
      () => h("li"), (item, one) => say(item, one.text));
  };
  model.on("change:stack", show);
  show();
  return root;
}

/** Show problems as lines. */
function lines(container, problems) {
  keyed(container, problems.map((one, place) => ({ ...one, place })), (one) => one.place,
    () => h("p"), (item, one) => say(item, one.words));
}

/** The figures, and what cannot be at a place of the plan: it moves no picture under a hand. */
function said(model, post) {
  const working = h("p", { class: "ufk-working", role: "status" });
  const problems = h("div", { class: "ufk-problems", role: "alert" });
  const figures = h("div", { class: "ufk-figures", "aria-live": "off" });
  post.working = (on) => say(working, on ? "working …" : "");
  const show = () => {
    const now = model.get("said");
    lines(problems, now.problems.filter((one) => one.placed));
    draw(figures, now.figures);
  };
  model.on("change:said", show);
  show();
  return h("section", { class: "ufk-said", "aria-label": "what the kit says" },
    figures, problems, working);
}
