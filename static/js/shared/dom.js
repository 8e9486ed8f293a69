/**
 * How is a piece of page made without HTML built from strings? It knows nothing of walls or records.
 */

/** @typedef {Node | string | number | null | undefined | false} Child */

/**
 * Make an element. Keys starting with "on" are listeners, "dataset" and "class" are as they sound,
 * true sets an empty attribute, false and null leave it out.
 * @template {keyof HTMLElementTagNameMap} T
 * @param {T} tag
 * @param {Record<string, any>} [attributes]
 * @param {...(Child | Child[])} children
 * @returns {HTMLElementTagNameMap[T]}
 */
export function make(tag, attributes = {}, ...children) {
  const element = document.createElement(tag);
  setAttributes(element, attributes);
  element.append(...present(children));
  return element;
}

/**
 * Make an SVG element, as make().
 * @template {keyof SVGElementTagNameMap} T
 * @param {T} tag
 * @param {Record<string, any>} [attributes]
 * @param {...(Child | Child[])} children
 * @returns {SVGElementTagNameMap[T]}
 */
export function makeSvg(tag, attributes = {}, ...children) {
  const element = document.createElementNS('http://www.w3.org/2000/svg', tag);
  setAttributes(element, attributes);
  element.append(...present(children));
  return element;
}

/**
 * Replace what stands inside an element.
 * @param {Element} element
 * @param {...(Child | Child[])} children
 */
export function fill(element, ...children) {
  element.replaceChildren(...present(children));
}

/**
 * The element with this id; a missing one is an error of the page, said at once.
 * @param {string} id
 * @returns {HTMLElement}
 */
export function byId(id) {
  const element = document.getElementById(id);
  if (!element) throw new Error(`The page has no element with the id "${id}".`);
  return element;
}

/**
 * The JSON of a data block of the page.
 * @param {string} id
 * @returns {any}
 */
export function dataBlock(id) {
  return JSON.parse(byId(id).textContent ?? 'null');
}

/** @param {Element} element @param {Record<string, any>} attributes */
function setAttributes(element, attributes) {
  for (const [name, value] of Object.entries(attributes)) {
    if (value === null || value === undefined || value === false) continue;
    if (name === 'dataset') Object.assign(/** @type {HTMLElement} */ (element).dataset, value);
    else if (name.startsWith('on') && typeof value === 'function') element.addEventListener(name.slice(2), value);
    else element.setAttribute(name, value === true ? '' : String(value));
  }
}

/** @param {(Child | Child[])[]} children @returns {(Node | string)[]} */
function present(children) {
  return children.flat().filter((child) => child !== null && child !== undefined && child !== false)
    .map((child) => (child instanceof Node ? child : String(child)));
}
