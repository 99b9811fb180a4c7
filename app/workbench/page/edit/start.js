/* The first sitting: no file yet. Four short steps lead to a van with a battery, fuses and the circuits that were chosen. What
 * is asked comes from the program; the way back is always open, and nothing is written before the end. */
import { h, setText } from '../dom.js';
import { addView, atStart } from '../views.js';
import { answersOf, askSpec, nameOf, presets } from './asks.js';
import { makeDraft, sendByEnter } from './draft.js';
import { Refusal } from '../server.js';

/** @typedef {import('../store.js').Store} Store */
/** @typedef {import('../types.js').Ask} Ask */
/** @typedef {import('../types.js').Circuit} Circuit */
/** @typedef {import('./draft.js').Values} Values */
/** @typedef {{title: string, says: string, element: HTMLElement, focus: () => void, gather: () => void}} Step */

/** Where in the sequence a question is put; what is not named here is about the battery. */
const FIRST = ['practice', 'voltage'];
const LAST = ['name'];
const MOST_OF_A_KIND = 20;

/**
 * @param {string} title
 * @param {string} says
 * @param {Ask[]} asks
 * @param {Values} values shared by all steps
 * @param {() => void} changed
 * @returns {Step}
 */
function asksStep(title, says, asks, values, changed) {
    const draft = makeDraft({
        values,
        groups: () => [{ title: '', fields: asks.map((ask) => ({ spec: askSpec(ask), given: undefined })) }],
        check: async () => null,
        changed,
    });
    return { title, says, element: draft.element, focus: () => draft.focus(asks[0].name), gather: () => { draft.gather(); } };
}

/**
 * A card for each circuit, with how many of it.
 * @param {Circuit[]} circuits
 * @param {() => void} changed
 */
function circuitsStep(circuits, changed) {
    const cards = circuits.map((circuit) => circuitCard(circuit, changed));
    return {
        title: 'Which circuits?',
        says: 'Tick what the van shall have. More can be added later, and each can be changed.',
        element: h('ul', { class: 'card-list' }, cards.map((card) => card.element)),
        focus: () => cards[0]?.focus(),
        gather: () => cards.forEach((card) => card.gather()),
        wishes: () => cards.filter((card) => card.count() > 0).map((card) => card.wish()),
        cards,
    };
}

/**
 * @param {Circuit} circuit
 * @param {() => void} changed
 */
function circuitCard(circuit, changed) {
    let n = 0;
    const tick = h('input', { type: 'checkbox', id: `start-${circuit.id}`, onchange: () => setCount(tick.checked ? 1 : 0) });
    const number = h('output', { 'aria-live': 'polite', 'aria-label': `how many: ${circuit.title}` }, '0');
    const fewer = h('button', { type: 'button', class: 'quiet', 'aria-label': `Fewer: ${circuit.title}`, onclick: () => setCount(n - 1) }, '−');
    const more = h('button', { type: 'button', class: 'quiet', 'aria-label': `More: ${circuit.title}`, onclick: () => setCount(n + 1) }, '+');
    const draft = makeDraft({
        values: presets(circuit.asks),
        groups: () => [{ title: '', fields: circuit.asks.map((ask) => ({ spec: askSpec(ask), given: undefined })) }],
        check: async () => null,
        changed,
    });
    const figures = h('details', { class: 'card-figures', hidden: true }, h('summary', {}, 'Its figures'), draft.element);
    const setCount = (/** @type {number} */ count) => {
        n = Math.min(Math.max(count, 0), MOST_OF_A_KIND);
        tick.checked = n > 0;
        setText(number, String(n));
        figures.hidden = n === 0;
        changed();
    };
    return {
        element: h('li', { class: 'card card-tick', 'data-circuit': circuit.id },
            h('div', { class: 'card-head' }, tick, h('label', { for: tick.id }, h('strong', {}, circuit.title), h('span', {}, circuit.says)),
                h('div', { class: 'card-count' }, fewer, number, more)),
            figures),
        title: circuit.title,
        count: () => n,
        focus: () => tick.focus(),
        gather: () => draft.gather(),
        /** What still stands as it was preset follows the voltage. @param {string} before @param {string} now */
        follow: (before, now) => draft.set(Object.fromEntries(circuit.asks
            .filter((ask) => ask.defaults[before] !== ask.defaults[now] && (draft.values[ask.name] ?? '') === ask.defaults[before])
            .map((ask) => [ask.name, ask.defaults[now] || undefined]))),
        wish: () => ({ circuit: circuit.id, count: n, answers: answersOf(draft.values) }),
    };
}

/** @param {Values} values */
const fileNameOf = (values) => {
    const words = String(values.name ?? '').toLowerCase().replace(/[^a-z0-9]+/g, '-').replace(/^-|-$/g, '');
    return `${words || 'my-van'}.yaml`;
};

/**
 * @param {HTMLElement} element
 * @param {Store} store
 * @param {{circuits: Circuit[], start: Circuit}} known
 */
function mountSteps(element, store, { circuits, start }) {
    /** @type {Values} */
    const values = presets(start.asks);
    let at = 0;
    const of = (/** @type {string[]} */ names) => start.asks.filter((ask) => names.includes(ask.name));
    const about = start.asks.filter((ask) => ![...FIRST, ...LAST].includes(ask.name));
    let voltage = String(values.voltage ?? '');
    const changed = () => {
        const before = voltage;
        voltage = String(values.voltage ?? '');
        if (before !== voltage) for (const card of wanted.cards) card.follow(before, voltage);
        showSummary();
    };

    const wanted = circuitsStep(circuits, changed);
    const file = h('input', { type: 'text', id: 'start-file', autocomplete: 'off', spellcheck: 'false' });
    const folder = h('p', { class: 'field-hint' }, store.state.file?.folder ? `It is written into ${store.state.file.folder}. A file that is there is never written over.` : '');
    const naming = asksStep('What is it called?', 'The name stands on every sheet.', of(LAST), values, changed);
    naming.element.append(h('div', { class: 'field' }, h('label', { class: 'field-label', for: 'start-file' }, 'File'), file, folder));
    /** @type {Step[]} */
    const steps = [
        asksStep('Where is it built, and with which voltage?', 'Each has its own limits, sizes of conductors and colours. Local codes come before either.', of(FIRST), values, changed),
        asksStep('The battery', 'Measure the run along the way that the cable will take: how thick it must be depends on it.', about, values, changed),
        wanted,
        naming,
    ];

    const trouble = h('p', { class: 'draft-trouble', role: 'alert' });
    const summary = h('ul', {});
    const heading = h('h2', { tabindex: -1 });
    const says = h('p', {});
    const space = h('div', { class: 'start-step' });
    const progress = h('p', { class: 'start-progress' });
    const back = h('button', { type: 'button', onclick: () => go(-1) }, 'Back');
    const on = h('button', { type: 'button', class: 'main', onclick: () => go(1) });

    const showSummary = () => {
        const lines = start.asks.map((ask) => `${ask.label}: ${ask.in === 'choice' ? nameOf(String(values[ask.name] ?? ask.default)) : values[ask.name] ?? ask.default}`);
        for (const card of wanted.cards) if (card.count() > 0) lines.push(`${card.count()} × ${card.title.toLowerCase()}`);
        summary.replaceChildren(...lines.map((line) => h('li', {}, line)));
    };
    const showStep = () => {
        const step = steps[at];
        setText(heading, step.title);
        setText(says, step.says);
        setText(progress, `Step ${at + 1} of ${steps.length}`);
        setText(on, at === steps.length - 1 ? 'Make the van' : 'Go on');
        setText(trouble, '');
        back.hidden = at === 0;
        space.replaceChildren(step.element);
        if (at === steps.length - 1 && !file.dataset.typed) file.value = fileNameOf(values);
        step.focus();
    };
    /** @param {number} step */
    const go = async (step) => {
        steps[at].gather();
        showSummary();
        if (step > 0 && steps[at] === wanted && wanted.wishes().length === 0) {
            setText(trouble, 'Tick at least one circuit: what the battery must bear follows from them.');
            return;
        }
        if (at + step < steps.length) {
            at += step;
            showStep();
        } else {
            await make();
        }
    };
    const make = async () => {
        on.disabled = true;
        if (!file.dataset.typed) file.value = fileNameOf(values);
        try {
            await store.server.post('/api/start', { answers: answersOf(values), circuits: wanted.wishes(), file: file.value });
            await store.refresh();
            store.show('diagram');
            store.say(`${file.value} is written. Look at the gates above, then change what is different in your van.`);
        } catch (problem) {
            if (!(problem instanceof Refusal)) throw problem;
            setText(trouble, problem.message);
        } finally {
            on.disabled = false;
        }
    };
    file.addEventListener('input', () => { file.dataset.typed = 'yes'; });
    sendByEnter(space, () => go(1));

    element.append(h('div', { class: 'start' },
        h('div', { class: 'start-main' }, progress, heading, says, space, trouble, h('div', { class: 'dialog-ends' }, back, on)),
        h('aside', { class: 'start-summary', 'aria-label': 'So far' }, h('h3', {}, 'So far'), summary, cautions())));
    showSummary();
    showStep();
}

const cautions = () => h('div', { class: 'cautions' },
    h('h3', {}, 'Before you begin'),
    h('ul', {},
        h('li', {}, 'The workbench warns and computes. It never says that an installation is safe, or that it complies.'),
        h('li', {}, 'Local codes come before anything that is said here. Work on mains voltage is for licensed people.'),
        h('li', {}, 'A battery drives thousands of amperes into a short: its fuse comes first, and the tools are insulated.')));

addView({
    id: 'start',
    title: 'New van',
    key: 'g',
    order: 0,
    isThere: (store) => store.state.file !== null && !store.state.file.has_file,
    mount(element, store) {
        let isGone = false;
        store.server.get('/api/circuits').then((known) => {
            if (!isGone) mountSteps(element, store, known);
        });
        return () => { isGone = true; };
    },
});

atStart((store) => {
    store.subscribe(['file'], ({ file }) => {
        if (file && !file.has_file) store.show('start');
    });
});
