/* The hand that writes: from a field's value to an edit of the file, with the words under which it can be undone. */
import { bothChanged } from './both.js';

/** @typedef {import('../store.js').Store} Store */
/** @typedef {import('../types.js').Edit} Edit */
/** @typedef {import('../types.js').Outcome} Outcome */
/** @typedef {import('../types.js').Value} Value */
/** @typedef {import('../types.js').Van} Van */
/** @typedef {import('./field.js').Given} Given */

/**
 * An empty value takes the key out of the file.
 * @param {string[]} path
 * @param {Given} value
 * @returns {Edit}
 */
export const putOrDrop = (path, value) => (value === undefined ? { do: 'drop', path } : { do: 'put', path, value });

/**
 * What is wrong, as one sentence; of several faults the first.
 * @param {Outcome} outcome
 */
export function troubleOf(outcome) {
    if (outcome.ok) return null;
    const fault = outcome.faults?.[0];
    return fault ? [fault.wrong, fault.right].filter(Boolean).join('; ') : outcome.error;
}

/**
 * Where a wire stands in the file: one without a label is an entry of the list of those.
 * @param {Van} van
 * @param {string} label
 */
export function wirePath(van, label) {
    const proposed = van.wires.filter((wire) => wire.is_proposed);
    const i = proposed.findIndex((wire) => wire.label === label);
    return i < 0 ? ['wires', label] : ['unlabelled', String(i)];
}

/**
 * Writes edits. Gives what was wrong, or null once they are in the file, or the file's version was chosen.
 * @param {Store} store
 * @param {string} says
 * @param {Edit[]} edits
 * @param {number} [revision] what the hand saw when it began
 */
export async function write(store, says, edits, revision) {
    const outcome = await store.edit(says, edits, revision);
    if (!outcome.ok && outcome.status === 409) return settle(store);
    return troubleOf(outcome);
}

/** @param {Store} store */
async function settle(store) {
    const choice = await bothChanged(store);
    return choice === 'later' ? 'both changed; press Enter to choose which of the two holds, Escape to take the file’s' : null;
}

/**
 * The same for what has no field to show its trouble: it is said aloud.
 * @param {Store} store
 * @param {string} says
 * @param {Edit[]} edits
 * @returns {Promise<Outcome>}
 */
export async function writeAloud(store, says, edits) {
    const outcome = await store.edit(says, edits);
    if (!outcome.ok && outcome.status !== 409) store.say(troubleOf(outcome) ?? '', { isWrong: true });
    return outcome;
}
