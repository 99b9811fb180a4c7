/* What is wrong, by gate: marks and words in a list; the chosen one with its numbers, source, remedy, and what can be done
 * about it. */

import { h, isNarrow } from './dom.js';
import { GATES, gateCount } from './gates.js';
import { mark } from './marks.js';
import { PLIGHT_WORDS, plightOf } from './plight.js';
import { short } from './numbers.js';
import { placeButton } from './places.js';
import { addCommands, addSection, addView } from './views.js';

/** @typedef {import('./store.js').Store} Store */
/** @typedef {import('./types.js').Finding} Finding */

const GRADE_WORDS = { stop: 'Stop', mind: 'Mind', note: 'Note', unproven: 'Unproven' };

/**
 * The list, by gate.
 * @param {HTMLElement} element
 * @param {Store} store
 * @returns {() => void}
 */
export function mountFindings(element, store) {
    const coverage = h('p', { class: 'coverage' });
    const list = h('div', { class: 'findings' });
    element.append(list, coverage);
    /** @type {import('./types.js').Judgement|null|undefined} */
    let shown;

    const build = () => {
        const { van, judged } = store.state;
        const plight = plightOf(store.state);
        const judgement = van && !plight ? (judged?.judgement ?? null) : null;
        if (judgement && judgement === shown) return;
        shown = judgement;
        const empty = plight ? `Not judged: ${PLIGHT_WORDS[plight]}.` : van ? 'Being proven for the first time.' : 'Nothing to judge yet.';
        coverage.textContent = judgement ? coverageWords(judgement.states) : '';
        list.replaceChildren(...(judgement ? GATES.map(({ gate, says }) => gatePart(store, judgement, gate, says)) : [h('p', { class: 'empty' }, empty)]));
        choose();
    };
    const choose = () => {
        const { selection } = store.state;
        for (const row of list.querySelectorAll('.finding')) {
            const isChosen = selection?.type === 'finding' && row instanceof HTMLElement && row.dataset.number === selection.id;
            row.classList.toggle('chosen', isChosen);
            row.querySelector('.row')?.setAttribute('aria-expanded', String(isChosen));
            row.querySelector('.inside')?.remove();
            if (isChosen && element.id !== 'below') {
                const inside = h('div', { class: 'inside' });
                row.append(inside);
                mountFinding(inside, store, Number(selection.id));
            }
        }
    };
    const ends = [store.subscribe(['judged', 'van', 'file'], build), store.subscribe(['selection'], choose)];
    return () => ends.forEach((end) => end());
}

/** A count that may have more figures than anybody reads. @param {number} n */
const countWords = (n) => (n < 1e15 ? n.toLocaleString('en') : `${short(n / 10 ** Math.floor(Math.log10(n)))} × 10^${Math.floor(Math.log10(n))}`);

/** @param {import('./types.js').Judgement['states']} states */
function coverageWords(states) {
    const all = countWords(states.switch_positions);
    return states.complete
        ? `Rests on all ${all} combinations of switch positions. It is arithmetic from the file; what is built is for you and a licensed person to check.`
        : `Rests on ${states.examined.toLocaleString('en')} of ${all} combinations of switch positions. ${states.why_not ?? ''} What was not looked at is unproven.`;
}

/**
 * @param {Store} store
 * @param {import('./types.js').Judgement} judgement
 * @param {string} gate
 * @param {string} says
 */
function gatePart(store, judgement, gate, says) {
    const mine = judgement.findings.map((finding, number) => ({ finding, number })).filter(({ finding }) => finding.gate === gate);
    const count = gateCount(gate, judgement.findings);
    const isOpen = judgement.gates.find((g) => g.gate === gate)?.open;
    return h('section', { class: 'of-gate', 'aria-label': `Findings of the gate ${gate}` },
        h('h2', { 'data-gate': gate, tabindex: -1, title: says }, gate, ' ', h('small', {}, count || (isOpen ? '' : 'shut by the gate before; ') + (mine.length ? 'nothing here shuts it' : 'nothing found'))),
        h('ul', {}, mine.map(({ finding, number }) => findingRow(store, finding, number))));
}

/**
 * @param {Store} store
 * @param {Finding} finding
 * @param {number} number
 */
function findingRow(store, finding, number) {
    const choose = () => {
        const isChosen = store.state.selection?.type === 'finding' && store.state.selection.id === String(number);
        store.select(isChosen ? null : { type: 'finding', id: String(number) });
    };
    return h('li', { class: `finding ${finding.grade}${finding.decided ? ' decided' : ''}`, 'data-number': number },
        h('button', { class: 'row', 'aria-expanded': 'false', onclick: choose },
            mark(finding.grade), h('b', {}, finding.decided ? 'Decided' : GRADE_WORDS[finding.grade]), ' ', h('span', { class: 'says' }, finding.says)),
        h('button', { class: 'show-me', 'aria-label': `Show me: ${finding.says}`, onclick: () => showMe(store, number) }, 'Show me'));
}

/**
 * Brings a gate's findings into sight.
 * @param {Store} store
 * @param {string} gate
 */
export function showGate(store, gate) {
    if (isNarrow.matches) store.show('findings');
    queueMicrotask(() => {
        const within = isNarrow.matches ? '#space' : '#below';
        const heading = document.querySelector(`${within} [data-gate="${gate}"]`);
        if (!(heading instanceof HTMLElement)) return;
        heading.scrollIntoView({ block: 'start' });
        heading.focus({ preventScroll: true });
    });
}

/* --- the chosen one --- */

addSection({
    id: 'finding',
    order: 10,
    isAbout: (selection) => selection?.type === 'finding',
    mount: (element, store, selection) => {
        const build = () => {
            element.replaceChildren();
            mountFinding(element, store, Number(selection?.id));
        };
        return store.subscribe(['judged'], build);
    },
});

/**
 * @param {HTMLElement} element
 * @param {Store} store
 * @param {number} number
 */
function mountFinding(element, store, number) {
    const finding = store.state.judged?.judgement?.findings[number];
    if (!finding) {
        element.append(h('p', { class: 'empty' }, 'This finding is gone.'));
        return;
    }
    element.append(
        h('h2', { class: `grade ${finding.grade}` }, mark(finding.grade), ' ', GRADE_WORDS[finding.grade], h('small', {}, ` at the gate ${finding.gate}`)),
        h('p', { class: 'says' }, finding.says),
        h('p', { class: 'where' }, finding.where.map((place) => placeButton(store, place))),
    );
    if (finding.value !== null && finding.value !== undefined) element.append(bar(finding));
    if (finding.remedy) element.append(h('p', {}, h('b', {}, 'What mends it: '), finding.remedy));
    element.append(positionsWords(finding));
    if (finding.source) element.append(h('p', { class: 'source' }, h('b', {}, 'Source of the limit: '), finding.source));
    if (finding.decided) element.append(h('p', {}, h('b', {}, `Decided on ${finding.decided.date}: `), finding.decided.why));
    element.append(doings(store, finding, number));
}

/**
 * Value against limit, as a bar with both numbers in words.
 * @param {Finding} finding
 */
function bar(finding) {
    const value = finding.value ?? 0;
    const { limit, unit } = finding;
    const words = limit === null ? `${short(value)} ${unit}` : `${short(value)} ${unit}; limit ${short(limit)} ${unit}`;
    const most = Math.max(Math.abs(value), Math.abs(limit ?? 0)) * 1.1 || 1;
    const fill = h('span', { class: 'fill' });
    fill.style.width = `${(Math.abs(value) / most) * 100}%`;
    const scale = h('span', { class: 'scale', 'aria-hidden': 'true' }, fill);
    if (limit !== null) {
        const tick = h('span', { class: 'tick' });
        tick.style.left = `${(Math.abs(limit) / most) * 100}%`;
        scale.append(tick);
    }
    return h('p', { class: 'against' }, limit === null ? null : scale, h('span', { class: 'words' }, words));
}

/** @param {Finding} finding */
function positionsWords(finding) {
    const positions = Object.entries(finding.positions);
    if (positions.length === 0) return h('p', {}, h('b', {}, 'Switch positions: '), 'the same in all, or with all in their first');
    return h('details', { open: positions.length <= 6 },
        h('summary', {}, h('b', {}, 'Worst with '), `${positions.length} moved`),
        h('ul', { class: 'positions' }, positions.map(([item, word]) => h('li', {}, h('code', {}, item), ' ', word))));
}

/**
 * @param {Store} store
 * @param {Finding} finding
 * @param {number} number
 */
function doings(store, finding, number) {
    const more = h('div', { class: 'more' });
    return h('div', { class: 'doings' },
        h('button', { class: 'main', onclick: () => showMe(store, number) }, 'Show me'),
        (finding.mends ?? []).map((mend, m) => h('button', { class: 'mend', onclick: () => applyMend(store, number, m, mend.says) }, `Mend: ${mend.says}`)),
        finding.grade === 'mind' && !finding.decided && h('button', { onclick: () => askDecision(more, store, finding) }, 'Decide…'),
        h('button', { onclick: () => tellWhy(more, store, finding.rule) }, 'Why is that a rule?'),
        more);
}

/**
 * Puts the switches where it is worst and brings its place into view.
 * @param {Store} store
 * @param {number} number
 */
export function showMe(store, number) {
    const finding = store.state.judged?.judgement?.findings[number];
    if (!finding) return;
    store.setPositions({ ...finding.positions });
    store.select({ type: 'finding', id: String(number) });
    store.show('diagram');
    store.set({ shownPlaces: [...finding.where] });
    const n = Object.keys(finding.positions).length;
    store.say(n === 0 ? 'Every switch stands in its first position.' : `${n} ${n === 1 ? 'switch stands' : 'switches stand'} where this is worst; the others are in their first position.`);
}

/**
 * @param {Store} store
 * @param {number} number
 * @param {number} mend
 * @param {string} says
 */
async function applyMend(store, number, mend, says) {
    const outcome = await store.mend(number, mend);
    if (outcome.ok) {
        store.say(`Done: ${says}.`, { action: { words: 'Undo', run: () => undo(store) } });
    } else {
        store.say(outcome.error, { isWrong: true });
    }
}

/** @param {Store} store */
async function undo(store) {
    const says = store.state.file?.undo;
    const outcome = await store.undo();
    store.say(outcome.ok ? `Undone: ${says ?? 'the last change'}.` : outcome.error, { isWrong: !outcome.ok });
}

/**
 * A decision goes into the file, with its reason.
 * @param {HTMLElement} element
 * @param {Store} store
 * @param {Finding} finding
 */
function askDecision(element, store, finding) {
    const why = h('textarea', { rows: 3, required: true, id: 'decide-why' });
    const decide = async (/** @type {Event} */ event) => {
        event.preventDefault();
        const decided = store.state.van?.decided ?? [];
        const date = new Date().toLocaleDateString('sv');
        const entry = { rule: finding.rule, where: finding.where[0] ?? '', why: why.value.trim(), date };
        const outcome = await store.edit(`decide on ${finding.rule}`, [{ do: 'put', path: ['decided', String(decided.length)], value: entry }]);
        if (outcome.ok) store.say('The decision is in the file, with its reason.');
        else store.say(outcome.error, { isWrong: true });
    };
    element.replaceChildren(h('form', { onsubmit: decide },
        h('label', { for: 'decide-why' }, 'Why it may stay as it is. It is printed in the book, for whoever opens the wall.'), why,
        h('button', { class: 'main' }, 'Record the decision')));
    why.focus();
}

/**
 * @param {HTMLElement} element
 * @param {Store} store
 * @param {string} rule
 */
async function tellWhy(element, store, rule) {
    try {
        const why = await store.server.get(`/api/why/${encodeURIComponent(rule)}`);
        element.replaceChildren(h('div', { class: 'why', tabindex: -1 },
            h('h3', {}, why.rule ?? rule),
            ['means', 'matters', 'mends'].map((key) => why[key] && h('p', {}, why[key]))));
    } catch (problem) {
        element.replaceChildren(h('p', { class: 'empty' }, problem instanceof Error ? problem.message : ''));
    }
}

addView({
    id: 'findings',
    title: 'Findings',
    key: 'f',
    order: 30,
    isThere: () => isNarrow.matches,
    mount: mountFindings,
});

addCommands(
    { id: 'next-finding', name: 'Choose the next finding', group: 'Findings', keys: ['J'], isPossible: (store) => Boolean(store.state.judged?.judgement?.findings.length), run: (store) => step(store, 1) },
    { id: 'earlier-finding', name: 'Choose the finding before', group: 'Findings', keys: ['Shift+J'], isPossible: (store) => Boolean(store.state.judged?.judgement?.findings.length), run: (store) => step(store, -1) },
    { id: 'show-me', name: 'Show me the chosen finding', group: 'Findings', keys: ['M'], isPossible: (store) => store.state.selection?.type === 'finding', run: (store) => showMe(store, Number(store.state.selection?.id)) },
);

/**
 * @param {Store} store
 * @param {number} by
 */
function step(store, by) {
    const n = store.state.judged?.judgement?.findings.length ?? 0;
    const { selection } = store.state;
    const now = selection?.type === 'finding' ? Number(selection.id) : by > 0 ? -1 : 0;
    const next = (now + by + n) % n;
    store.select({ type: 'finding', id: String(next) });
    document.querySelector(`.finding[data-number="${next}"]`)?.scrollIntoView({ block: 'nearest' });
}
