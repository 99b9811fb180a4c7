/* The three gates, always in sight: what can't be taken back, in its order. */

import { h } from './dom.js';
import { showGate } from './findings.js';
import { PLIGHT_WORDS, plightOf } from './plight.js';

/** @typedef {import('./store.js').Store} Store */
/** @typedef {import('./types.js').Finding} Finding */

export const GATES = /** @type {const} */ ([
    { gate: 'cut', says: 'before the saw and the drill go into the sheet' },
    { gate: 'close', says: 'before the wall goes on, over what is behind it' },
    { gate: 'live', says: 'before the fuse goes in' },
]);

/** Whether a finding keeps its gate shut. @param {Finding} finding */
export const shuts = (finding) => finding.grade !== 'note' && !finding.decided;

/**
 * @param {number} n
 * @param {string} one
 * @param {string} more
 */
const count = (n, one, more) => (n === 0 ? '' : `${n} ${n === 1 ? one : more}`);

/**
 * What keeps a gate shut, in words.
 * @param {string} gate
 * @param {Finding[]} findings
 */
export function gateCount(gate, findings) {
    const mine = findings.filter((finding) => finding.gate === gate && shuts(finding));
    const of = (/** @type {string} */ grade) => mine.filter((finding) => finding.grade === grade).length;
    return [count(of('stop'), 'stop', 'stops'), count(of('mind'), 'to decide', 'to decide'), count(of('unproven'), 'unproven', 'unproven')]
        .filter((words) => words)
        .join(', ');
}

/**
 * @param {HTMLElement} element
 * @param {Store} store
 */
export function mountGates(element, store) {
    return store.subscribe(['judged', 'van', 'file'], ({ judged, van, file }) => {
        const plight = plightOf({ file, van });
        const judgement = van && !plight ? judged?.judgement : null;
        const isPending = van !== null && !plight && (!judged || judged.pending || judged.revision !== file?.revision);
        element.setAttribute('aria-busy', String(isPending));
        element.replaceChildren(...GATES.map(({ gate, says }) => {
            const state = judgement?.gates.find((g) => g.gate === gate);
            const why = judgement ? gateCount(gate, judgement.findings) : '';
            const word = !state || (state.open && isPending) ? 'not known' : state.open ? 'open' : 'shut';
            const words = plight ? PLIGHT_WORDS[plight] : isPending ? 'being proven' : why || (!state ? '' : state.open ? 'nothing shuts it' : 'by the gate before');
            return h('button', {
                class: `gate ${isPending ? 'pending' : !state ? 'unknown' : state.open ? 'open' : 'shut'}`,
                title: `${gate}: ${says}`,
                onclick: () => showGate(store, gate),
            }, h('span', { class: 'bar', 'aria-hidden': 'true' }), h('b', {}, gate), ' ', h('span', { class: 'word' }, word), ' ', h('small', {}, words));
        }));
    });
}
