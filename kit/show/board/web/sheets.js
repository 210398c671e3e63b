// Sheets below the pictures: tables that are read, and lists of units and packers that are edited.

function sheets(model, post) {
  const names = h("div", { class: "ufk-tabs", role: "tablist", "aria-label": "sheets" });
  const page = h("div", { class: "ufk-page", role: "tabpanel", tabindex: "0" });
  const table = h("div", { class: "ufk-scroll" });
  const lists = h("div", { class: "ufk-scroll" });
  page.append(table, lists);
  names.addEventListener("keydown", (event) => {
    const step = { ArrowLeft: -1, ArrowRight: 1 }[event.key];
    const tabs = [...names.children];
    const at = tabs.indexOf(document.activeElement);
    if (!step || at < 0) return;
    event.preventDefault();
    const next = tabs[(at + step + tabs.length) % tabs.length];
    next.focus();
    next.click();
  });
  const show = () => {
    const now = model.get("sheet");
    keyed(names, now.names, (name) => name, (name) => tab(name, post), (button, name) => {
      const open = name === now.open;
      put(button, "aria-selected", open);
      put(button, "tabindex", open ? 0 : -1);
    });
    put(page, "aria-label", now.open);
    draw(table, now.html);
    keyed(lists, now.lists, (one) => one.id, (one) => sheetList(one, post), showList);
  };
  model.on("change:sheet", show);
  show();
  return h("section", { class: "ufk-sheets", "aria-label": "tables" }, names, page);
}

function tab(name, post) {
  const button = h("button", { type: "button", role: "tab" }, name);
  button.addEventListener("click", () => post.send({ kind: "sheet", name }));
  return button;
}

/** A list of things with a box for each figure, buttons for each thing, and one to add. */
function sheetList(one, post) {
  const body = h("tbody");
  const add = h("button", { type: "button" });
  add.addEventListener("click", () => post.send({ kind: "add", list: one.id }));
  const root = h("div", { class: "ufk-list" }, h("h3", {}, one.title),
    h("table", {}, h("thead", {}, h("tr", {}, ...one.columns.map((column) => h("th", { scope: "col" }, column)), h("th", { scope: "col" }, "")))
      , body), add);
  root.ufkParts = { body, add, post };
  return root;
}

function showList(root, one) {
  const { body, add, post } = root.ufkParts;
  say(add, one.add);
  keyed(body, one.rows, (row) => row.id, (row) => listRow(row, post), showRow);
}

function listRow(row, post) {
  const line = h("tr");
  line.ufkBoxes = row.cells.map((cell) => {
    const box = numberBox(cell.id, cell.name, post);
    if (cell.words) box.setAttribute("inputmode", "text");
    if (cell.wide) box.classList.add("ufk-wide");
    const error = h("div", { class: "ufk-error", id: `ufk-e-${cell.id}` });
    box.setAttribute("aria-describedby", error.id);
    line.append(h("td", {}, box, error));
    return { box, error };
  });
  const acts = h("td", { class: "ufk-acts" });
  line.ufkActs = row.acts.map((act) => {
    const button = h("button", { type: "button" }, act.words);
    button.addEventListener("click", () => post.send(line.ufkRow.acts.find((one) => one.words === act.words).message));
    acts.append(button);
    return button;
  });
  line.append(acts);
  return line;
}

function showRow(line, row) {
  line.ufkRow = row;
  row.cells.forEach((cell, place) => {
    const { box, error } = line.ufkBoxes[place];
    put(box, "aria-label", cell.name);
    showBox(box, cell.text, cell.error);
    say(error, cell.error);
  });
  row.acts.forEach((act, place) => {
    line.ufkActs[place].disabled = !act.message;
    put(line.ufkActs[place], "aria-label", act.name);
  });
}
