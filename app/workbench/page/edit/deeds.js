/* What is done to an item or a wire as a whole. Each is one edit, with the words under which it can be undone. */
import { wirePath, writeAloud } from './writer.js';
import { chooseAndFill } from './wants.js';

/** @typedef {import('../store.js').Store} Store */
/** @typedef {import('../types.js').Item} Item */
/** @typedef {import('../types.js').Wire} Wire */
/** @typedef {import('../types.js').Given} Given */

/** @param {Item} item */
export const itemName = (item) => (item.name ? `${item.name} (${item.id})` : item.id);

/**
 * An id that is not taken: the base, or the base with the first number that is free.
 * @param {import('../types.js').Van} van
 * @param {string} base
 */
export function freeId(van, base) {
    const taken = new Set(van.items.map((item) => item.id));
    if (!taken.has(base)) return base;
    const stem = base.replace(/-\d+$/, '');
    let number = 2;
    while (taken.has(`${stem}-${number}`)) number++;
    return `${stem}-${number}`;
}

/**
 * The keys of an item as the file has them.
 * @param {Item} item
 * @returns {Given}
 */
export function keysOf(item) {
    /** @type {[string, import('../types.js').Value|undefined|false][]} */
    const all = [
        ['kind', item.kind],
        ['name', item.name],
        ['says', item.says],
        ['panel', item.panel],
        ['critical', item.critical === null ? '' : String(item.critical)],
        ['positions', item.positions_given.length > 0 && item.positions_given],
        ['never-with', item.never_with.length > 0 && item.never_with],
        ...Object.entries(item.given),
    ];
    return Object.fromEntries(all.filter(/** @returns {each is [string, import('../types.js').Value]} */ (each) => Boolean(each[1])));
}

/**
 * @param {Store} store
 * @param {Item} item
 */
export async function copyItem(store, item) {
    if (!store.state.van) return;
    const id = freeId(store.state.van, item.id);
    const outcome = await writeAloud(store, `copy ${itemName(item)} as ${id}`, [{ do: 'put', path: ['items', id], value: keysOf(item) }]);
    if (outcome.ok) chooseAndFill(store, { type: 'item', id }, 'name');
}

/**
 * @param {Store} store
 * @param {Item} item
 */
export async function dropItem(store, item) {
    const wires = item.terminals.flatMap((terminal) => terminal.wires);
    const with_its = wires.length ? ` with ${new Set(wires).size === 1 ? 'its wire' : 'its wires'} ${[...new Set(wires)].join(', ')}` : '';
    const says = `delete ${itemName(item)}${with_its}`;
    const outcome = await writeAloud(store, says, [{ do: 'drop', path: ['items', item.id] }]);
    if (outcome.ok) tellUndo(store, `Deleted ${itemName(item)}${with_its}.`);
}

/**
 * @param {Store} store
 * @param {Wire} wire
 */
export async function dropWire(store, wire) {
    const { van } = store.state;
    if (!van) return;
    const outcome = await writeAloud(store, `delete wire ${wire.label}`, [{ do: 'drop', path: wirePath(van, wire.label) }]);
    if (outcome.ok) tellUndo(store, `Deleted wire ${wire.label}; its label is not used again.`);
}

/**
 * @param {Store} store
 * @param {string} words
 */
const tellUndo = (store, words) => store.say(words, { action: { words: 'Undo', run: () => store.undo() } });

/**
 * @param {Store} store
 * @param {Wire} wire
 */
export async function copyWire(store, wire) {
    await addWire(store, `copy wire ${wire.label}`, { from: wire.from, to: wire.to, ...wire.given }, 'to');
}

/**
 * @param {Store} store
 * @param {string} says
 * @param {Given} value
 * @param {string} field where the hand goes on
 */
export async function addWire(store, says, value, field) {
    const outcome = await writeAloud(store, says, [{ do: 'wire', value }]);
    const label = outcome.ok ? outcome.labels?.[0] : undefined;
    if (label) chooseAndFill(store, { type: 'wire', id: label }, field);
    return outcome;
}

/**
 * @param {Store} store
 * @param {Wire} wire
 */
export async function swapEnds(store, wire) {
    const { van } = store.state;
    if (!van) return;
    const path = wirePath(van, wire.label);
    await writeAloud(store, `swap the ends of ${wire.label}`, [
        { do: 'put', path: [...path, 'from'], value: wire.to },
        { do: 'put', path: [...path, 'to'], value: wire.from },
    ]);
}

/**
 * @param {Store} store
 * @param {Wire} wire
 * @param {'from'|'to'} end
 * @param {string} terminal
 */
export async function moveEnd(store, wire, end, terminal) {
    const { van } = store.state;
    if (!van || wire[end] === terminal) return;
    await writeAloud(store, `${wire.label}: ${end} ${terminal}`, [{ do: 'put', path: [...wirePath(van, wire.label), end], value: terminal }]);
}

/**
 * Items of a panel stand on it in the order of the file.
 * @param {Store} store
 * @param {Item} item
 */
export function movesOf(store, item) {
    const row = store.state.van?.items.filter((other) => item.panel && other.panel === item.panel) ?? [];
    const at = row.findIndex((other) => other.id === item.id);
    /** @type {{words: string, says: string, run: () => void}[]} */
    const moves = [];
    /** @param {string} words @param {Item} what @param {Item} before */
    const add = (words, what, before) => moves.push({
        words,
        says: `on panel ${item.panel}: ${itemName(what)} before ${itemName(before)}`,
        run: () => writeAloud(store, `move ${itemName(what)} before ${itemName(before)}`, [{ do: 'move', path: ['items', what.id], to: before.id }]),
    });
    if (at > 0) add('Earlier', item, row[at - 1]);
    if (at >= 0 && at < row.length - 1) add('Later', row[at + 1], item);
    return moves;
}
