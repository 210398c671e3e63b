// What the hand does goes to Python, one message at a time; Python holds the truth.

/** After this long without an answer the board says that it is working [ms]. */
const PATIENCE_MS = 400;

/**
 * Hand messages over in order. Of a gesture that goes on only the newest place waits: the rest
 * would be worked out for nobody.
 */
class Post {
  constructor(model, working) {
    this.model = model;
    this.working = working;
    this.rest = []; // called whenever nothing is on its way any more
    this.waiting = [];
    // Another view of the same board must not wait for the numbers of this one.
    this.sent = Math.floor(Math.random() * 1e9);
    this.busy = false;
    model.on("change:answered", () => this.answered());
  }

  send(message) {
    const last = this.waiting[this.waiting.length - 1];
    const goesOn = message.gesture && last?.gesture === message.gesture && last.kind === message.kind;
    if (goesOn) {
      // Places replace each other; steps of a key add up.
      if (message.steps) message.steps += last.steps;
      this.waiting[this.waiting.length - 1] = message;
    } else this.waiting.push(message);
    this.next();
  }

  next() {
    if (this.busy || !this.waiting.length) return;
    this.busy = true;
    this.sent += 1;
    this.model.send({ ...this.waiting.shift(), number: this.sent });
    this.timer = setTimeout(() => this.working(true), PATIENCE_MS);
  }

  answered() {
    if (this.model.get("answered") !== this.sent) return;
    clearTimeout(this.timer);
    this.working(false);
    this.busy = false;
    if (this.waiting.length) this.next();
    else for (const act of this.rest) act();
  }
}

/** Keys pressed within this of each other are one movement [ms]. */
const SAME_MOVEMENT_MS = 1000;

let gestures = 0;
const keys = { of: null, at: 0, gesture: "" };

/** A name for the movement that a press of a key on an element belongs to. */
function keyGesture(element) {
  const now = performance.now();
  if (keys.of !== element || now - keys.at > SAME_MOVEMENT_MS) keys.gesture = newGesture();
  keys.of = element;
  keys.at = now;
  return keys.gesture;
}

/** A name for one going-on movement: all of it is one step of undo. */
function newGesture() {
  gestures += 1;
  return `${Date.now().toString(36)}-${gestures}`;
}
