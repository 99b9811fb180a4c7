/* Ready-made circuits: choose one, answer what it asks, and it is in the van. What it asks, and what it adds, the program
 * knows. */
import { h } from '../dom.js';
import { addCommands } from '../views.js';
import { answersOf, askSpec, presets } from './asks.js';
import { openDialog } from './dialog.js';
import { makeDraft, sendByEnter } from './draft.js';
import { troubleOf } from './writer.js';

/** @typedef {import('../store.js').Store} Store */
/** @typedef {import('../types.js').Circuit} Circuit */

/** @param {Store} store */
export async function addCircuit(store) {
    const { circuits } = /** @type {{circuits: Circuit[]}} */ (await store.server.get('/api/circuits'));
    const choose = (/** @type {Circuit} */ circuit) => {
        dialog.close();
        askCircuit(store, circuit);
    };
    const dialog = openDialog('Add a ready-made circuit', {
        class: 'circuit-dialog',
        body: [h('ul', { class: 'card-list' }, circuits.map((circuit) => h('li', {},
            h('button', { type: 'button', class: 'card', 'data-circuit': circuit.id, onclick: () => choose(circuit) },
                h('strong', {}, circuit.title), h('span', {}, circuit.says)))))],
    });
    dialog.addEventListener('keydown', (event) => {
        const cards = [...dialog.querySelectorAll('button.card')];
        const step = { ArrowDown: 1, ArrowRight: 1, ArrowUp: -1, ArrowLeft: -1 }[event.key];
        if (!step) return;
        event.preventDefault();
        const next = cards[(cards.indexOf(/** @type {Element} */ (document.activeElement)) + step + cards.length) % cards.length];
        if (next instanceof HTMLElement) next.focus();
    });
    const first = dialog.querySelector('button.card');
    if (first instanceof HTMLElement) first.focus();
}

/**
 * @param {Store} store
 * @param {Circuit} circuit
 */
function askCircuit(store, circuit) {
    const body = (/** @type {import('./draft.js').Values} */ values) => ({ circuit: circuit.id, answers: answersOf(values) });
    const draft = makeDraft({
        values: presets(circuit.asks),
        groups: () => [{ title: '', fields: circuit.asks.map((ask) => ({ spec: askSpec(ask), given: undefined })) }],
        check: async (values) => troubleOf(await store.send('/api/circuit', { ...body(values), dry: true })),
    });
    const send = async () => {
        const outcome = await store.change('/api/circuit', { ...body(draft.gather()), dry: false });
        if (!outcome.ok) return draft.tell(troubleOf(outcome));
        dialog.close();
        const item = outcome.added?.items.at(-1);
        if (item) store.select({ type: 'item', id: item });
        const n = outcome.added?.wires.length ?? 0;
        store.say(`Added: ${circuit.title.toLowerCase()}, ${outcome.added?.items.length} items and ${n} wires.`, { action: { words: 'Undo', run: () => store.undo() } });
    };
    sendByEnter(draft.element, send);
    const dialog = openDialog(circuit.title, {
        class: 'circuit-dialog',
        body: [h('p', {}, circuit.says), draft.element],
        ends: [
            h('button', { type: 'button', onclick: () => { dialog.close(); addCircuit(store); } }, 'Back'),
            h('button', { type: 'button', class: 'main', onclick: send }, 'Add it'),
        ],
    });
    draft.focus(circuit.asks[0]?.name ?? '');
}

addCommands({
    id: 'add-circuit',
    name: 'Add a ready-made circuit …',
    group: 'Edit',
    keys: ['N'],
    isPossible: (store) => store.state.van !== null,
    run: (store) => { addCircuit(store); },
});
