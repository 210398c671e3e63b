// Forms: what Python asks for, as boxes with names. What is typed stays here until it is handed in.

/** What may be typed, said before it goes wrong. */
const KIND_HINTS = { place: "x y", packers: "as 18 1 6" };

/** A list with longer words than this stands below its name [letters]. */
const LONG_CHOICE = 11;

/** Make the box, or the choice, of one field. */
function entry(field, id, open) {
  if (field.kind === "choice") {
    const options = field.choices.map((words) => h("option", { value: words }, words));
    // An answer is not given by leaving a list as it stands.
    if (open && options.length > 1) options.unshift(h("option", { value: "" }, "choose …"));
    return h("select", { id, class: "ufk-entry-box", name: field.key }, ...options);
  }
  const box = h("input", {
    id, type: "text", name: field.key, class: `ufk-entry-box ufk-${field.kind}`,
    autocomplete: "off", spellcheck: "false", placeholder: KIND_HINTS[field.kind],
    inputmode: field.kind === "number" ? "decimal" : undefined,
  });
  return box;
}

/** Make a line for one field: its name, its box, its unit, what is wrong with it. */
function fieldLine(field, formKind, view) {
  const id = `${view}-${formKind}-${field.key}`;
  const box = entry(field, id, formKind === "answer");
  const long = field.choices.some((words) => words.length > LONG_CHOICE);
  const error = h("div", { class: "ufk-error", id: `${id}-e`, "aria-live": "polite" });
  box.setAttribute("aria-describedby", error.id);
  const unit = field.unit ? h("span", { class: "ufk-unit" }, field.unit) : undefined;
  const line = h("div", { class: long ? "ufk-field ufk-long" : "ufk-field" },
    h("label", { for: id }, field.label), h("span", { class: "ufk-entry" }, box, unit), error);
  return { field, box, error, line };
}

/** A form: fields, a button that hands them in, and for an instrument with two ends a second one. */
function form(said, desk, act) {
  const fields = new Map(said.fields.map((field) => [field.key, fieldLine(field, said.kind, desk.view)]));
  const typed = () => Object.fromEntries([...fields].map(([key, one]) => [key, one.box.value]));
  const go = h("button", { type: "submit", class: said.strong ? "ufk-strong" : undefined }, said.label);
  const turn = said.turn ? h("button", { type: "button" }, said.turn) : undefined;
  const error = h("div", { class: "ufk-error", "aria-live": "polite" });
  const element = h("form", { class: "ufk-form", "data-form": said.kind, "aria-label": said.label, novalidate: true },
    ...[...fields.values()].map((one) => one.line), h("div", { class: "ufk-buttons" }, go, turn), error);
  const hand = (kind = act) => desk.send({ kind, form: said.kind, typed: typed() });
  element.addEventListener("submit", (event) => {
    event.preventDefault();
    hand();
  });
  // A notebook around it keeps Enter from handing a form in.
  element.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || !event.target.matches("input")) return;
    event.preventDefault();
    hand();
  });
  turn?.addEventListener("click", () => hand("turn"));
  return { said, fields, element, error, hand, buttons: [go, turn].filter(Boolean) };
}

/** Show what is wrong with the fields of forms, each beside its own. */
function showProblems(forms, problems) {
  for (const one of forms) {
    const own = problems.filter((problem) => problem.form === one.said.kind);
    for (const [key, { box, error }] of one.fields) {
      const words = own.filter((problem) => problem.field === key).map((problem) => problem.words);
      say(error, words.map((line) => `✗ ${line}`).join(" "));
      put(box, "aria-invalid", words.length ? "true" : "false");
    }
    say(one.error, own.filter((problem) => !problem.field).map((p) => `✗ ${p.words}`).join(" "));
  }
}

/** A name for one view: another page in the same notebook has its own copy of this module. */
function newView() {
  return `ufk-${Math.random().toString(36).slice(2, 10)}`;
}
