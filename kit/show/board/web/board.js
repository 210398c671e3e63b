// The board: its parts side by side where there is room, below each other where there is not.

export default {
  render({ model, el }) {
    groups += 1;
    const post = new Post(model, () => {});
    const pictures = h("div", { class: "ufk-pictures" }, plan(model, post),
      elevation(model, post), loads(model, post), stack(model, post));
    const root = h("div", { class: "ufk-board" },
      head(model, post),
      h("div", { class: "ufk-body" }, pictures, said(model, post), controls(model, post)),
      sheets(model, post));
    historyKeys(root, post);
    // Keys are ours while the focus is in the board. The notebook around it looks for this mark on
    // the element that has the focus, and only there, before it takes a key for itself.
    root.addEventListener("focusin", (event) => {
      event.target.setAttribute("data-lm-suppress-shortcuts", "true");
    });
    el.append(root);
    const widths = { told: 0, timer: 0 };
    const watch = new ResizeObserver(() => {
      clearTimeout(widths.timer);
      widths.timer = setTimeout(() => tellWidths(root, widths, post), widths.told ? 120 : 0);
    });
    watch.observe(root);
    const leave = askBeforeLeaving(model);
    return () => {
      watch.disconnect();
      leave();
    };
  },
};

/** Tell Python how much room there is: it draws for it, letters at their own size. */
function tellWidths(root, widths, post) {
  const room = (name) => Math.floor(root.querySelector(name).clientWidth);
  const now = { plan: room(".ufk-plan"), side: room(".ufk-controls") };
  if (now.plan < 50 || widths.told === `${now.plan} ${now.side}`) return;
  widths.told = `${now.plan} ${now.side}`;
  post.send({ kind: "room", ...now });
}
