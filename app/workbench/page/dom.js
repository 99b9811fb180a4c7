/* Making elements. Texts are always set as text, never as markup. */

/**
 * h('button', {class: 'mend', onclick: f, 'aria-pressed': 'true'}, 'words', child). A property whose value is a function is
 * a listener; true sets an empty attribute; false, null and undefined set none.
 * @template {keyof HTMLElementTagNameMap} T
 * @param {T} tag
 * @param {{[name: string]: unknown}} [properties]
 * @param {...(Node|string|number|null|undefined|false|(Node|string|null|undefined|false)[])} children
 * @returns {HTMLElementTagNameMap[T]}
 */
export function h(tag, properties = {}, ...children) {
    const element = document.createElement(tag);
    for (const [name, value] of Object.entries(properties)) {
        if (typeof value === 'function') {
            element.addEventListener(name.replace(/^on/, ''), /** @type {EventListener} */ (value));
        } else if (value === true) {
            element.setAttribute(name, '');
        } else if (value !== false && value !== null && value !== undefined) {
            element.setAttribute(name, String(value));
        }
    }
    for (const child of children.flat()) {
        if (child !== null && child !== undefined && child !== false) {
            element.append(child instanceof Node ? child : String(child));
        }
    }
    return element;
}

/** Under this width the words and the findings, which else stand beside and below the drawing, are views of their own. */
export const isNarrow = matchMedia('(max-width: 760px)');

const SVG = 'http://www.w3.org/2000/svg';

/**
 * An SVG element with its attributes.
 * @param {string} tag
 * @param {{[name: string]: string|number}} attributes
 * @param {...Node} children
 * @returns {SVGElement}
 */
export function svg(tag, attributes, ...children) {
    const element = /** @type {SVGElement} */ (document.createElementNS(SVG, tag));
    for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, String(value));
    element.append(...children);
    return element;
}

/**
 * Sets text only when it differs, so that nothing is laid out anew for nothing.
 * @param {Element} element
 * @param {string} text
 */
export function setText(element, text) {
    if (element.textContent !== text) element.textContent = text;
}

/**
 * @param {Element} element
 * @param {string} name
 * @param {string|null} value null takes it away
 */
export function setAttribute(element, name, value) {
    if (value === null) {
        if (element.hasAttribute(name)) element.removeAttribute(name);
    } else if (element.getAttribute(name) !== value) {
        element.setAttribute(name, value);
    }
}

/**
 * @template {Element} T
 * @param {string} selector
 * @param {new () => T} type
 * @param {ParentNode} [within]
 * @returns {T}
 */
export function find(selector, type, within = document) {
    const element = within.querySelector(selector);
    if (!(element instanceof type)) throw new Error(`the page lacks ${selector}`);
    return element;
}
