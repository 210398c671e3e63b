// Small helpers: elements, sections that are patched in place, words for those who do not see.

const SVG = "http://www.w3.org/2000/svg";

/** Make an HTML element with attributes, listeners (on…) and children. */
function h(tag, attributes = {}, ...children) {
  return fill(document.createElement(tag), attributes, children);
}

/** Make an SVG element. */
function s(tag, attributes = {}, ...children) {
  return fill(document.createElementNS(SVG, tag), attributes, children);
}

function fill(element, attributes, children) {
  for (const [name, value] of Object.entries(attributes)) {
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else if (value === true) element.setAttribute(name, "");
    else if (value !== false && value !== undefined) element.setAttribute(name, value);
  }
  element.append(...children.filter((child) => child !== undefined));
  return element;
}

/** Set an attribute only where it differs: the browser need not look at what has not changed. */
function put(element, name, value) {
  const text = String(value);
  if (element.getAttribute(name) !== text) element.setAttribute(name, text);
}

/** Set the words of an element only where they differ. */
function say(element, words) {
  if (element.textContent !== words) element.textContent = words;
}

/** Replace a drawing, and give the focus back to the part of it that had it. */
function draw(container, svg) {
  if (container.ufkShown === svg) return;
  const held = container.contains(document.activeElement)
    ? document.activeElement.dataset.support
    : undefined;
  container.innerHTML = svg;
  container.ufkShown = svg;
  if (held !== undefined) {
    container.querySelector(`[data-support="${CSS.escape(held)}"]`)?.focus({ preventScroll: true });
  }
}

/** Keep a list of elements in step with a list of things, by key; the elements stay. */
function keyed(container, things, key, make, patch) {
  const old = new Map([...container.children].map((child) => [child.ufkKey, child]));
  let before = null;
  for (const thing of things) {
    const name = key(thing);
    let child = old.get(name);
    old.delete(name);
    if (!child) {
      child = make(thing);
      child.ufkKey = name;
    }
    const place = before ? before.nextSibling : container.firstChild;
    if (place !== child) container.insertBefore(child, place);
    patch(child, thing);
    before = child;
  }
  for (const gone of old.values()) gone.remove();
}
