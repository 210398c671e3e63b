// The head of the board: what it is of, undo and redo, what changed, saving.

function head(model, post) {
  const title = h("h2");
  const button = (words, message) => {
    const made = h("button", { type: "button" }, words);
    made.addEventListener("click", () => post.send(message()));
    return made;
  };
  const undo = button("↶ undo", () => ({ kind: "undo" }));
  const redo = button("↷ redo", () => ({ kind: "redo" }));
  const save = button("save", () => ({ kind: "save" }));
  const name = h("input", { type: "text", class: "ufk-folder", "aria-label": "folder to save as",
    placeholder: "new folder's name" });
  const saveAs = button("save as", () => ({ kind: "save_as", folder: name.value }));
  const again = button("open the file again", () => ({ kind: "reopen" }));
  const summary = h("summary");
  const list = h("ul");
  const changes = h("details", { class: "ufk-changes" }, summary, list, again);
  const file = h("p", { class: "ufk-file" });
  const problems = h("div", { class: "ufk-problems", role: "alert" });
  const notice = h("p", { class: "ufk-notice", role: "status" });
  const showSaid = () => {
    const now = model.get("said");
    lines(problems, now.problems.filter((one) => !one.placed));
    say(notice, now.notice);
  };
  const show = () => {
    const now = model.get("head");
    say(title, now.title);
    say(file, now.file);
    for (const [control, words, what] of [[undo, now.undo, "undo"], [redo, now.redo, "redo"]]) {
      // Not disabled for the browser, which would take the focus away from it.
      put(control, "aria-disabled", !words);
      put(control, "aria-label", words ? `${what}: ${words}` : `nothing to ${what}`);
      put(control, "title", words);
    }
    say(save, now.changes.length ? "● save" : "save");
    put(save, "aria-label", now.changes.length ? "save to job.toml" : "save, nothing has changed");
    say(summary, now.changes.length ? `what changed (${now.changes.length})` : "nothing changed");
    keyed(list, now.changes.map((text, place) => ({ text, place })), (one) => one.place,
      () => h("li"), (item, one) => say(item, one.text));
  };
  model.on("change:head", show);
  model.on("change:said", showSaid);
  show();
  showSaid();
  return h("header", { class: "ufk-head" }, title,
    h("div", { class: "ufk-buttons", role: "toolbar", "aria-label": "history and saving" },
      undo, redo, save, h("span", { class: "ufk-entry" }, name, saveAs)),
    file, changes, notice, problems);
}

/** Where the page is all there is, leaving it loses what was not saved: the browser asks first. */
function askBeforeLeaving(model) {
  const ask = (event) => {
    const inLab = document.querySelector(".jp-LabShell");
    if (!inLab && model.get("head").changes.length) event.preventDefault();
  };
  window.addEventListener("beforeunload", ask);
  return () => window.removeEventListener("beforeunload", ask);
}

/** Undo and redo by their usual keys, wherever the focus is, except in the middle of typing. */
function historyKeys(root, post) {
  root.addEventListener("keydown", (event) => {
    if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
    const key = event.key.toLowerCase();
    const back = key === "z" && !event.shiftKey;
    const forth = key === "y" || (key === "z" && event.shiftKey);
    const typing = event.target.matches("input[type=text]") && event.target.value !== event.target.ufkSaid;
    if (!(back || forth) || typing) return;
    event.preventDefault();
    post.send({ kind: back ? "undo" : "redo" });
  });
}
