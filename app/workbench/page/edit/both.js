/* Both changed: what this page wrote meets what another hand wrote at the same place. Nothing is lost: the dialog shows both,
 * one of them is chosen, and the other stays at hand below the dialog's place until it is put away. */
import { h } from '../dom.js';
import { atStart } from '../views.js';

/** @typedef {import('../store.js').Store} Store */
/** @typedef {import('../store.js').Conflict} Conflict */
/** @typedef {import('../types.js').Edit} Edit */
/** @typedef {'mine'|'theirs'|'later'} Choice */

/** @type {((choice: Choice) => void)[]} */
const waiting = [];

/**
 * What becomes of the conflict that the store has now, or is about to have.
 * @param {Store} store
 * @returns {Promise<Choice>}
 */
export function bothChanged(store) {
    const settled = /** @type {Promise<Choice>} */ (new Promise((resolve) => waiting.push(resolve)));
    if (!store.state.conflict) finish(store, 'later');
    return settled;
}

/**
 * @param {Store} store
 * @param {Choice} choice
 */
function finish(store, choice) {
    store.set({ conflict: null });
    for (const resolve of waiting.splice(0)) resolve(choice);
}

atStart((store) => {
    const aside = setAside();
    document.body.append(aside.element);
    /** @type {HTMLDialogElement|null} */
    let dialog = null;
    store.subscribe(['conflict'], ({ conflict }) => {
        if (!conflict || dialog) return;
        dialog = ask(conflict, async (choice) => {
            dialog = null;
            finish(store, choice);
            if (choice === 'mine') {
                await store.edit(conflict.says, conflict.edits);
                aside.keep(store, conflict, 'theirs');
            } else if (choice === 'theirs') {
                aside.keep(store, conflict, 'mine');
            }
        });
    });
});

/** @param {unknown} value */
export function asText(value) {
    if (value === null || value === undefined) return 'nothing here';
    return typeof value === 'string' ? value : JSON.stringify(value, null, 1).replaceAll('"', '');
}

/** @param {string[]} path */
export const placeName = (path) => path.join(' › ');

/**
 * @param {Conflict} conflict
 * @param {(choice: Choice) => void} done
 */
function ask(conflict, done) {
    /** @type {Choice} */
    let choice = 'later';
    const close = (/** @type {Choice} */ chosen) => () => {
        choice = chosen;
        dialog.close();
    };
    const row = (/** @type {import('../types.js').ConflictPlace} */ place) => h('tr', {},
        h('th', { scope: 'row' }, placeName(place.path)),
        h('td', { 'data-label': 'You wrote' }, h('pre', {}, asText(place.mine))),
        h('td', { 'data-label': 'The file has now' }, h('pre', {}, asText(place.theirs))));
    const dialog = h('dialog', { class: 'edit-dialog both', 'aria-labelledby': 'both-title' },
        h('h2', { id: 'both-title' }, 'Both changed'),
        h('p', {}, `While you wrote “${conflict.says}”, the file changed at the same place. Choose which holds. The other one stays at hand.`),
        h('table', { class: 'both-table' },
            h('thead', {}, h('tr', {}, h('th', { scope: 'col' }, 'Where'), h('th', { scope: 'col' }, 'You wrote'), h('th', { scope: 'col' }, 'The file has now'))),
            h('tbody', {}, conflict.places.map(row))),
        h('div', { class: 'dialog-ends' },
            h('button', { type: 'button', onclick: close('later') }, 'Decide later'),
            h('button', { type: 'button', onclick: close('theirs') }, 'Keep what the file has'),
            h('button', { type: 'button', class: 'main', onclick: close('mine') }, 'Write mine')));
    dialog.addEventListener('close', () => {
        dialog.remove();
        done(choice);
    });
    document.body.append(dialog);
    dialog.showModal();
    return dialog;
}

/** What was not chosen. */
function setAside() {
    const list = h('ul', {});
    const element = h('section', { class: 'set-aside', hidden: true, 'aria-label': 'Set aside' }, h('h2', {}, 'Set aside'), list);

    /**
     * @param {Store} store
     * @param {Conflict} conflict
     * @param {'mine'|'theirs'} which
     */
    function keep(store, conflict, which) {
        const text = conflict.places.map((place) => `${placeName(place.path)}: ${asText(place[which])}`).join('\n');
        const drop = () => {
            entry.remove();
            element.hidden = list.childElementCount === 0;
        };
        const again = async () => {
            const outcome = which === 'mine' ? await store.edit(conflict.says, conflict.edits) : await store.undo();
            if (outcome.ok) drop();
        };
        const entry = h('li', {},
            h('p', {}, which === 'mine' ? 'You wrote, and it is not in the file:' : 'The file had, before you wrote over it:'),
            h('pre', {}, text),
            h('div', { class: 'dialog-ends' },
                h('button', { type: 'button', onclick: () => navigator.clipboard?.writeText(text) }, 'Copy'),
                h('button', { type: 'button', onclick: again }, which === 'mine' ? 'Write it after all' : 'Undo what you wrote'),
                h('button', { type: 'button', onclick: drop }, 'Put away')));
        list.append(entry);
        element.hidden = false;
    }
    return { element, keep };
}
