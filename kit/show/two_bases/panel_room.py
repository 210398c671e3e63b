"""A strip without height that tells how wide the page is, so that pictures fit it."""

from __future__ import annotations

import anywidget
import traitlets

#: Narrowest picture that can be read [px]; on a narrower page it is pushed sideways.
LEAST_PX = 480

#: How much of the width the pictures leave free: a bar for scrolling [px].
_MARGIN_PX = 20


class Room(anywidget.AnyWidget):
    """What a browser says of the room that a panel has.

    ``wide_px`` is 0 until a browser shows the panel.
    """

    _esm = """
    function render({ model, el }) {
      el.style.width = "100%";
      let timer = 0;
      const watch = new ResizeObserver(() => {
        clearTimeout(timer);
        timer = setTimeout(() => {
          const wide = Math.floor(el.clientWidth);
          if (wide > 0 && wide !== model.get("wide_px")) {
            model.set("wide_px", wide);
            model.save_changes();
          }
        }, 120);
      });
      watch.observe(el);
      return () => watch.disconnect();
    }
    export default { render };
    """

    wide_px = traitlets.Int(0).tag(sync=True)

    def fitting(self, asked_px: float) -> float:
        """Return how wide a picture may be [px]: as asked, or what the page has room for."""
        if not self.wide_px:
            return asked_px
        return min(asked_px, max(self.wide_px - _MARGIN_PX, LEAST_PX))
