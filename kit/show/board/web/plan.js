// The plan: Python draws what lies still; supports are kept here, because a hand moves them.

/** A finger covers this much [px]; a smaller support is caught from around it. */
const FINGER_PX = 30;

/** Farther than this a press is a drag and no longer a tap [px]. */
const TAP_PX = 4;

function plan(model, post) {
  const map = s("g"), ground = s("g"), marks = s("g");
  const leaders = s("g"), supports = s("g", { class: "ufk-supports" });
  const svg = s("svg", { xmlns: SVG, role: "group", "font-size": "12" },
    map, ground, marks, leaders, supports);
  const callouts = h("div", { class: "ufk-callouts" });
  const paper = h("div", { class: "ufk-paper" }, svg, callouts);
  const scroll = h("div", { class: "ufk-scroll", tabindex: "0", role: "region",
    "aria-label": "plan, scrolls sideways where it is wide" }, paper);
  const key = h("div", { class: "ufk-key" });
  const hint = h("p", { class: "ufk-hint" });
  const held = { name: "" };

  const showPlan = () => {
    const said = model.get("plan");
    for (const [name, size] of [["width", said.width], ["height", said.height]]) put(svg, name, size);
    put(svg, "viewBox", `0 0 ${said.width} ${said.height}`);
    put(svg, "aria-label", said.words);
    paper.style.width = `${said.width}px`;
    draw(ground, said.ground);
    draw(marks, said.marks);
    draw(key, said.key);
    say(hint, said.hint);
  };
  const showMap = () => draw(map, model.get("map"));
  const showSupports = () => {
    const said = model.get("supports");
    keyed(supports, said.list, (one) => one.name, () => support(post, held),
      (element, one) => showSupport(element, one, said.chosen, held));
    keyed(leaders, said.callouts, (one) => one.id, () => s("line", { class: "ufk-leader" }),
      (element, one) => {
        for (const end of ["x1", "y1", "x2", "y2"]) put(element, end, one[end]);
      });
    paper.style.paddingBottom = `${said.room}px`;
    keyed(callouts, said.callouts, (one) => one.id,
      () => h("div", { class: "ufk-callout" }),
      (element, one) => {
        say(element, `✗ ${one.words}`);
        element.style.left = `${one.x}px`;
        element.style.top = `${one.y}px`;
      });
  };
  model.on("change:plan", showPlan);
  model.on("change:map", showMap);
  model.on("change:supports", showSupports);
  post.rest.push(showSupports);
  showMap();
  showPlan();
  showSupports();
  return h("section", { class: "ufk-plan", "aria-label": "plan" }, scroll, key, hint);
}

/** Make the element of one support: what is seen of it, and the larger part that is caught. */
function support(post, held) {
  const box = s("rect", { class: "ufk-packer" });
  const grip = s("rect", { fill: "transparent" });
  const slash = s("path", { class: "ufk-slash" });
  const hand = s("path", { class: "ufk-hand" });
  const label = s("text", { "text-anchor": "middle", class: "ufk-support-name" });
  const element = s("g", { tabindex: "0", role: "slider", class: "ufk-support",
    "aria-orientation": "horizontal" }, grip, box, slash, hand, label);
  element.ufkParts = { box, grip, slash, hand, label };
  element.addEventListener("pointerdown", (event) => hold(event, element, post, held));
  element.addEventListener("keydown", (event) => press(event, element, post));
  return element;
}

function showSupport(element, one, chosen, held) {
  const { box, grip, slash, hand, label } = element.ufkParts;
  element.ufkSaid = one;
  if (held.name !== one.name) place(element, one.x, one.y);
  const turn = `rotate(${one.turn})`;
  for (const [rect, wide, tall] of [
    [box, one.wide, one.tall],
    [grip, Math.max(one.wide, FINGER_PX * one.room), Math.max(one.tall, FINGER_PX)],
  ]) {
    put(rect, "x", -wide / 2);
    put(rect, "y", -tall / 2);
    put(rect, "width", wide);
    put(rect, "height", tall);
    put(rect, "transform", turn);
  }
  // Idle: hollow, with a stroke across, so that it is told by shape and not by colour.
  put(slash, "d", one.idle ? `M${-one.wide / 2} ${one.tall / 2}L${one.wide / 2} ${-one.tall / 2}` : "");
  put(slash, "transform", turn);
  put(hand, "d", one.by_hand ? `M${one.label_x - 4} ${one.mark_y}l4 -7l4 7z` : "");
  put(label, "x", one.label_x);
  put(label, "y", one.label_y);
  say(label, one.name);
  const upright = Math.abs(one.uy) > Math.abs(one.ux);
  const state = ["ufk-support", upright && "ufk-upright", one.name === chosen && "ufk-chosen", one.by_hand && "ufk-by-hand",
    one.wrong && "ufk-wrong", one.idle && "ufk-idle"];
  put(element, "class", state.filter(Boolean).join(" "));
  put(element, "data-support", one.name);
  put(element, "data-px-per-mm", Math.hypot(one.ux, one.uy));
  put(element, "aria-label", one.label);
  put(element, "aria-valuemin", one.low_mm);
  put(element, "aria-valuemax", one.high_mm);
  put(element, "aria-valuenow", one.at_mm);
  put(element, "aria-valuetext", one.words);
}

function place(element, x, y) {
  put(element, "transform", `translate(${x} ${y})`);
}

/** Follow one press: a tap chooses the support, a drag moves it along its bearer. */
function hold(event, element, post, held) {
  if (event.button) return;
  event.preventDefault();
  element.focus({ preventScroll: true });
  const start = element.ufkSaid, gesture = newGesture();
  const [x0, y0] = [event.clientX, event.clientY];
  let moved = false;
  element.setPointerCapture(event.pointerId);
  held.name = start.name;
  const follow = (now) => {
    // Along the bearer only: what goes across it is the shake of a hand.
    const along = ((now.clientX - x0) * start.ux + (now.clientY - y0) * start.uy)
      / (start.ux ** 2 + start.uy ** 2);
    if (!moved && Math.hypot(now.clientX - x0, now.clientY - y0) < TAP_PX) return;
    moved = true;
    // Off the bearer there is nothing to be told that its last place would not tell as well.
    const reach = start.wide / Math.hypot(start.ux, start.uy);
    const wish = Math.min(Math.max(start.at_mm + along, start.low_mm - reach), start.high_mm + reach);
    const at = Math.max(Math.round(wish / start.step_mm) * start.step_mm, 0);
    const shift = at - start.at_mm;
    place(element, start.x + shift * start.ux, start.y + shift * start.uy);
    post.send({ kind: "move", support: start.name, mm: at, gesture });
  };
  const end = (last) => {
    element.removeEventListener("pointermove", follow);
    element.removeEventListener("pointerup", end);
    element.removeEventListener("pointercancel", end);
    element.removeEventListener("lostpointercapture", end);
    held.name = "";
    if (moved && last.type === "pointercancel") {
      // The finger turned out to scroll the page: what it moved on the way goes back.
      post.send({ kind: "move", support: start.name, mm: start.at_mm, gesture });
    } else if (!moved && last.type === "pointerup") {
      post.send({ kind: "choose", support: start.name });
    }
    if (!post.busy) place(element, element.ufkSaid.x, element.ufkSaid.y);
  };
  element.addEventListener("pointermove", follow);
  element.addEventListener("pointerup", end);
  element.addEventListener("pointercancel", end);
  element.addEventListener("lostpointercapture", end);
}

/** How far a key moves a support along its bearer: arrows go the way that they point. */
function stepsOf(key, one) {
  const upright = Math.abs(one.uy) > Math.abs(one.ux);
  const right = upright ? 1 : Math.sign(one.ux);
  const down = upright ? Math.sign(one.uy) : -1;
  return {
    ArrowRight: right, ArrowLeft: -right, ArrowDown: down, ArrowUp: -down, PageUp: 10, PageDown: -10,
  }[key];
}

/** Move, hand back or choose a support by the keys. */
function press(event, element, post) {
  const one = element.ufkSaid;
  const steps = stepsOf(event.key, one);
  if (steps) {
    event.preventDefault();
    post.send({ kind: "nudge", support: one.name, steps, gesture: keyGesture(element) });
  } else if (event.key === "Delete" || event.key === "Backspace") {
    event.preventDefault();
    post.send({ kind: "hand_back", support: one.name });
  } else if (event.key === "Enter" || event.key === " ") {
    event.preventDefault();
    post.send({ kind: "choose", support: one.name });
  }
}
