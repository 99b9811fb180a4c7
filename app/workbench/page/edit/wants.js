/* What one part asks of the part that is mounted next: the field to put the focus into, the line to show. */

/** @typedef {import('../store.js').Store} Store */

/** @type {{field: string|null, line: number|string|null}} `line`: its number, or how it starts */
export const wants = { field: null, line: null };

/**
 * @param {Store} store
 * @param {import('../types.js').Selection} selection
 * @param {string} field its key
 */
export function chooseAndFill(store, selection, field) {
    wants.field = field;
    store.select(selection);
}

/**
 * @param {Store} store
 * @param {number|string} line
 */
export function showText(store, line) {
    wants.line = line;
    store.show('text');
}
