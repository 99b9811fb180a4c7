/* Where each part of the program plugs into the page. A module registers what it brings when it is imported, so that a new
 * part is one line in main.js. */

/** @typedef {import('./store.js').Store} Store */
/** @typedef {import('./types.js').Selection} Selection */

/**
 * Fills the main space. `mount` gives back what takes it away again.
 * @typedef {object} View
 * @property {string} id
 * @property {string} title
 * @property {string} key one letter or digit that brings it up
 * @property {number} order
 * @property {(store: Store) => boolean} [isThere] not shown otherwise; asked after each change of the van
 * @property {(element: HTMLElement, store: Store) => (() => void)} mount
 */

/**
 * A part of the words beside the drawing about the chosen thing. It is mounted anew when another thing is chosen.
 * @typedef {object} Section
 * @property {string} id
 * @property {number} order
 * @property {(selection: Selection|null, store: Store) => boolean} isAbout
 * @property {(element: HTMLElement, store: Store, selection: Selection|null) => (() => void)} mount
 */

/**
 * What can be done by name or key. Keys as `Ctrl+Z`, `Shift+R`, `Delete`, `?`; the first is shown.
 * @typedef {object} Command
 * @property {string} id
 * @property {string} name
 * @property {string} group
 * @property {string[]} [keys]
 * @property {(store: Store) => boolean} [isPossible]
 * @property {(store: Store) => void} run
 */

/**
 * Brings things to be found by search.
 * @typedef {(store: Store) => {words: string, says: string, run: (store: Store) => void}[]} Finder
 */

/** @type {View[]} */
const views = [];
/** @type {Section[]} */
const sections = [];
/** @type {Command[]} */
const commands = [];
/** @type {Finder[]} */
const finders = [];
/** @type {((store: Store) => void)[]} */
const starters = [];

/** @param {View} view */
export function addView(view) {
    views.push(view);
    views.sort((a, b) => a.order - b.order);
}

/** @param {Section} section */
export function addSection(section) {
    sections.push(section);
    sections.sort((a, b) => a.order - b.order);
}

/** @param {...Command} more */
export function addCommands(...more) {
    commands.push(...more);
}

/** @param {Finder} finder */
export function addFinder(finder) {
    finders.push(finder);
}

/**
 * Called once, when the store and the shell are there.
 * @param {(store: Store) => void} start
 */
export function atStart(start) {
    starters.push(start);
}

/** @param {Store} store */
export const viewsThere = (store) => views.filter((view) => view.isThere?.(store) ?? true);

/**
 * @param {Selection|null} selection
 * @param {Store} store
 */
export const sectionsAbout = (selection, store) => sections.filter((section) => section.isAbout(selection, store));

/** @param {Store} store */
export const commandsPossible = (store) => commands.filter((command) => command.isPossible?.(store) ?? true);
export const allCommands = () => commands;

/** @param {Store} store */
export const everythingToFind = (store) => finders.flatMap((finder) => finder(store));

/** @param {Store} store */
export function start(store) {
    for (const starter of starters) starter(store);
}
