// Controls: a slider beside a box of the same name; a box hands on whatever is typed.

/** Make one box; it speaks when it is left, when Enter is pressed, and at every arrow key. */
function numberBox(id, label, post) {
  const box = h("input", {
    type: "text",
    inputmode: "decimal",
    autocomplete: "off",
    spellcheck: "false",
    "aria-label": label,
    class: "ufk-box",
  });
  const hand = () => {
    box.ufkSaid = box.value;
    post.send({ kind: "set", id, text: box.value, gesture: "" });
  };
  box.addEventListener("change", () => box.value !== box.ufkSaid && hand());
  box.addEventListener("keydown", (event) => {
    if (event.key === "Enter") hand();
    if (event.key !== "ArrowUp" && event.key !== "ArrowDown") return;
    event.preventDefault();
    if (box.value !== box.ufkSaid) hand();
    // Steps count from what Python holds: the text may be older than what is on its way.
    const steps = event.key === "ArrowUp" ? 1 : -1;
    post.send({ kind: "set", id, steps, gesture: keyGesture(box) });
  });
  return box;
}

/** Show what a box says now, unless a person is writing in it. */
function showBox(box, text, error) {
  const writing = document.activeElement === box && box.value !== box.ufkSaid;
  if (!writing || error) {
    if (box.value !== text && !error) box.value = text;
    box.ufkSaid = box.value;
  }
  put(box, "aria-invalid", error ? "true" : "false");
}

/** Make a slider for a length; keys that are held and drags are one gesture each. */
function slider(id, label, post) {
  let gesture = newGesture();
  const range = h("input", { type: "range", "aria-label": `${label}, slider`, class: "ufk-slider" });
  range.addEventListener("pointerdown", () => (gesture = newGesture()));
  range.addEventListener("keydown", () => (gesture = keyGesture(range)));
  range.addEventListener("input", () => {
    post.send({ kind: "set", id, mm: Number(range.value), gesture });
  });
  return range;
}

/** Make a named control of one line: name, slider, box, unit, and what is wrong with it. */
function control(one, post) {
  const error = h("div", { class: "ufk-error", id: `ufk-e-${one.id}` });
  const box = numberBox(one.id, one.name, post);
  box.setAttribute("aria-describedby", error.id);
  const range = one.slider ? slider(one.id, one.name, post) : undefined;
  const line = h(
    "div",
    { class: "ufk-control" },
    h("span", { class: "ufk-name", "aria-hidden": "true" }, one.label),
    range,
    h("span", { class: "ufk-entry" }, box, h("span", { class: "ufk-unit" }, one.unit)),
    error,
  );
  line.ufkParts = { box, range, error, post };
  return line;
}

/** Show what Python says of a control. */
function showControl(line, one) {
  const { box, range, error, post } = line.ufkParts;
  showBox(box, one.text, one.error);
  say(error, one.error);
  if (!range) return;
  put(range, "min", one.slider.min);
  put(range, "max", one.slider.max);
  put(range, "step", one.slider.step);
  // An answer that newer touches have overtaken must not pull the thumb from under the hand.
  if (!post.waiting.length && Number(range.value) !== one.slider.value) {
    range.value = one.slider.value;
  }
  put(range, "aria-valuetext", `${one.text} ${one.unit}`);
}

/** The controls of the base, the height first with its window beside it. */
function controls(model, post) {
  const height = h("div", { class: "ufk-height" });
  const free = h("input", { type: "checkbox", class: "ufk-free" });
  free.addEventListener("change", () => post.send({ kind: "free", on: free.checked }));
  const low = numberBox("height_low", "lowest height allowed", post);
  const high = numberBox("height_high", "greatest height allowed", post);
  const unit = h("span");
  const wrong = h("div", { class: "ufk-error", id: "ufk-e-range" });
  for (const box of [low, high]) box.setAttribute("aria-describedby", wrong.id);
  const choice = h(
    "div",
    { class: "ufk-choice" },
    h("label", {}, free, " let the kit choose the best height"),
    h("span", { class: "ufk-entry" }, "from ", low, " to ", high, unit),
    wrong,
  );
  const window_ = h("div", { class: "ufk-window" });
  const others = h("div", { class: "ufk-others" });
  const settle = h("input", { type: "checkbox", class: "ufk-settle" });
  settle.addEventListener("change", () => post.send({ kind: "settle", on: settle.checked }));
  const settles = h("span");
  const root = h("section", { class: "ufk-controls", "aria-label": "controls" },
    height, window_, choice, others, h("label", { class: "ufk-settles" }, settle, settles));
  window_.addEventListener("click", (event) => {
    const axis = window_.querySelector(".ufk-window-axis");
    if (!axis) return;
    const { lowMm, highMm, leftPx, rightPx } = axis.dataset;
    const at = event.clientX - window_.querySelector("svg").getBoundingClientRect().left;
    const share = (at - leftPx) / (rightPx - leftPx);
    if (share < 0 || share > 1) return;
    const { step } = model.get("controls").list[0].slider;
    const mm = Math.round((Number(lowMm) + share * (highMm - lowMm)) / step) * step;
    post.send({ kind: "set", id: "height_mm", mm, gesture: "" });
  });
  const show = () => {
    const { list, choice: said, settle: lift } = model.get("controls");
    keyed(height, list.slice(0, 1), (one) => one.id, (one) => control(one, post), showControl);
    keyed(others, list.slice(1), (one) => one.id, (one) => control(one, post), showControl);
    free.checked = said.free;
    settle.checked = lift.on;
    settle.disabled = !lift.able;
    say(settles, lift.words);
    showBox(low, said.low, said.error);
    showBox(high, said.high, said.error);
    say(unit, ` ${said.unit}`);
    say(wrong, said.error);
  };
  const showWindow = () => draw(window_, model.get("window"));
  model.on("change:controls", show);
  post.rest.push(show);
  model.on("change:window", showWindow);
  show();
  showWindow();
  return root;
}
