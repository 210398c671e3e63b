// The plan under the hand: a drag puts an instrument down, a press a staff or a foot.

/** Shorter than this a drag is no line [px]. */
const LEAST_DRAG_PX = 14;

/** Places are taken to this [mm]; keys move an end by it, with Shift ten times as far. */
const STEP_MM = 10;

function ground(model, hands) {
  const choice = h("div", { class: "ufk-rows", role: "radiogroup", hidden: true,
    "aria-label": "what a press on the plan does" });
  const drawing = h("div", { class: "ufk-drawing" });
  const line = s("line", { class: "ufk-ghost" });
  const ends = [movableEnd(true), movableEnd(false)];
  const over = s("svg", { class: "ufk-hands" }, line, ...ends);
  const paper = h("div", { class: "ufk-paper ufk-floor" }, drawing, over);
  const scroll = h("div", { class: "ufk-scroll", tabindex: "0", role: "region",
    "aria-label": "plan, scrolls sideways where it is wide" }, paper);
  const hint = h("p", { class: "ufk-hint" });
  const section = h("section", { class: "ufk-plan", "aria-label": "plan of the floor" }, choice, scroll, hint);
  const state = { target: undefined, targets: [] };

  const room = () => drawing.querySelector("[data-px-per-mm]")?.dataset;
  const toMm = (event) => {
    const box = drawing.querySelector("svg").getBoundingClientRect(), to = room();
    const mm = (px, least, most) => Math.min(Math.max(Math.round(px / to.pxPerMm / STEP_MM) * STEP_MM, least), most);
    return [mm(event.clientX - box.left - to.left, 0, to.widthMm), mm(event.clientY - box.top - to.top, 0, to.depthMm)];
  };
  const toPx = ([x, y]) => [Number(room().left) + x * room().pxPerMm, Number(room().top) + y * room().pxPerMm];
  const places = () => (state.target?.keys ?? []).map((key) => placeOf(state.target.form.fields.get(key).box.value));
  const setPlace = (number, mm) => {
    state.target.form.fields.get(state.target.keys[number]).box.value = mm.join(" ");
    showEnds();
  };

  /** Draw the ends where the boxes say that they are. */
  function showEnds() {
    const now = room() ? places() : [];
    ends.forEach((end, number) => {
      const at = now[number];
      end.style.display = at ? "" : "none";
      if (!at) return;
      const [x, y] = toPx(at);
      put(end, "transform", `translate(${x} ${y})`);
      const name = state.target.form.fields.get(state.target.keys[number]).field.label;
      put(end, "aria-label", `${name} x ${at[0]}, y ${at[1]} mm; arrow keys move it, Enter: ${state.target.label}`);
    });
    const both = now.length === 2 && now[0] && now[1];
    line.style.display = both ? "" : "none";
    if (!both) return;
    const [[x1, y1], [x2, y2]] = now.map(toPx);
    for (const [name, value] of Object.entries({ x1, y1, x2, y2 })) put(line, name, value);
  }

  const done = () => state.target.answers || state.target.form.hand();

  /** Follow one press on the plan, or on an end that lies there; a second finger is none. */
  function follow(event, number) {
    const { target } = state;
    if (event.button || !event.isPrimary || !target || !room()) return;
    event.preventDefault();
    const two = target.keys.length === 2, [x0, y0] = [event.clientX, event.clientY];
    const before = target.keys.map((key) => target.form.fields.get(key).box.value);
    let far = 0;
    paper.setPointerCapture(event.pointerId);
    if (number === undefined) setPlace(0, toMm(event));
    const held = number ?? (two ? 1 : 0);
    const stop = () => {
      for (const [name, act] of [["pointermove", move], ["pointerup", end], ["pointercancel", end]]) paper.removeEventListener(name, act);
    };
    // The floor may go, or its answer be given, while the hand is on it.
    const gone = (now) => {
      if (state.target !== target) stop();
      return state.target !== target || now.pointerId !== event.pointerId;
    };
    const move = (now) => {
      if (gone(now)) return;
      far = Math.max(far, Math.hypot(now.clientX - x0, now.clientY - y0));
      setPlace(held, toMm(now));
    };
    const end = (last) => {
      if (gone(last)) return;
      stop();
      const short = two && number === undefined && far < LEAST_DRAG_PX;
      if (last.type === "pointercancel" || short || (number !== undefined && far < 3)) {
        target.keys.forEach((key, at) => { target.form.fields.get(key).box.value = before[at]; });
        showEnds();
        if (short && last.type !== "pointercancel") say(hint, "Drag from where the marked end is to lie towards the other end.");
      } else done();
    };
    paper.addEventListener("pointermove", move);
    paper.addEventListener("pointerup", end);
    paper.addEventListener("pointercancel", end);
  }

  drawing.addEventListener("pointerdown", (event) => follow(event, undefined));
  ends.forEach((end, number) => {
    end.addEventListener("pointerdown", (event) => {
      end.focus({ preventScroll: true });
      follow(event, number);
    });
    end.addEventListener("keydown", (event) => pressEnd(event, number));
  });
  function pressEnd(event, number) {
    const step = STEP_MM * (event.shiftKey ? 10 : 1);
    const way = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, -step], ArrowDown: [0, step] }[event.key];
    if (way) {
      const at = places()[number], most = [room().widthMm, room().depthMm];
      setPlace(number, at.map((mm, axis) => Math.min(Math.max(mm + way[axis], 0), Number(most[axis]))));
    } else if (event.key === "Enter" || event.key === " ") done();
    else return;
    event.preventDefault();
  }

  /** Take what a press on the plan may do; the first is chosen. */
  const take = () => {
    const targets = hands.targets(), old = state.targets;
    // What stays as it is keeps the focus that is on it, and the hand that is on the plan.
    const same = targets.length === old.length && targets.every((one, k) => one.form === old[k].form && one.id === old[k].id);
    if (!same) offer(targets);
    showHint();
    showEnds();
  };
  const offer = (targets) => {
    state.targets = targets;
    state.target = targets.find((one) => one.id === state.target?.id) ?? targets[0];
    choice.hidden = targets.length < 2;
    choice.replaceChildren(...targets.map((one) => {
      const input = h("input", { type: "radio", name: `${hands.view}-press`, value: one.id });
      input.checked = one.id === state.target.id;
      input.addEventListener("change", () => { state.target = one; showHint(); showEnds(); });
      return h("label", { class: "ufk-row" }, input, h("span", {}, one.label));
    }));
  };
  const showHint = () => {
    const words = !state.target ? "" : state.target.keys.length === 2
      ? "Drag on the plan from the marked end to the other, or type the places. The ends that lie there can be moved by hand and by arrow keys."
      : "Press on the plan, or type the place.";
    say(hint, words);
    put(paper, "class", `ufk-paper ufk-floor${state.target ? " ufk-armed" : ""}`);
  };
  const show = () => {
    draw(drawing, model.get("plan"));
    section.hidden = !model.get("plan");
    const svg = drawing.querySelector("svg");
    if (svg) for (const name of ["width", "height", "viewBox"]) put(over, name, svg.getAttribute(name));
    showEnds();
  };
  model.on("change:plan", show);
  show();
  return { element: section, take, showEnds, show };
}

/** An end that a hand or arrow keys can move, small to see, large to catch; the first is marked by a bar. */
function movableEnd(marked) {
  return s("g", { tabindex: "0", role: "button", "aria-roledescription": "movable end", class: "ufk-end" },
    s("circle", { r: 22, fill: "transparent" }), marked ? s("path", { d: "M-4 -13h8v26h-8z", class: "ufk-end-dot" }) : s("circle", { r: 7, class: "ufk-end-dot" }));
}

/** Read a place as it is typed; undefined where it is none yet. */
function placeOf(text) {
  const parts = text.trim().split(/[\s;]+|,\s+/).map((part) => Number(part.replace(",", ".")));
  return parts.length === 2 && parts.every(Number.isFinite) ? parts : undefined;
}
