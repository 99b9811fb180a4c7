/* One field of the file: what it is called, what is typed, what is wrong with it, and what holds if it is left empty.
 *
 * A field shows the file until something is typed. What is typed stays, whatever happens to the file meanwhile, until it is
 * committed (Enter, or leaving the field) or given up (Escape). While typing, the program is asked whether the van could be
 * read with it. */
import { h, setAttribute, setText } from '../dom.js';

/** How long the hand must rest before the program is asked, ms. */
export const REST_ms = 150;

/** @typedef {string|string[]|undefined} Given what the file has; undefined if it has nothing */

/**
 * @typedef {object} FieldSpec
 * @property {string} key unique among the fields of one form
 * @property {string} label
 * @property {'text'|'long'|'choice'|'list'} form
 * @property {string} [says] what it means
 * @property {string} [default] what holds when it is empty
 * @property {string} [from] where that default comes from
 * @property {string[]} [choices] the only ones
 * @property {{[choice: string]: string}} [choiceNames]
 * @property {string[]} [offers] some of the possible ones
 * @property {boolean} [isRequired]
 * @property {(typed: string) => Promise<string|null>} [pick] chooses a value in a way of its own; null: none
 * @property {string} [pickLabel]
 */

/**
 * Where a field's value goes.
 * @typedef {object} FieldHost
 * @property {(key: string, value: Given) => Promise<string|null>} check what is wrong with it, or null
 * @property {(key: string, value: Given) => Promise<string|null>} commit what was wrong, or null when it is taken
 * @property {string} [written] said beside the field once its value is in the file
 */

/**
 * @typedef {object} Field
 * @property {HTMLElement} element
 * @property {(given: Given) => void} update shows what the file has now
 * @property {() => Given} value what is typed
 * @property {() => boolean} isDirty
 * @property {() => void} focus
 * @property {(wrong: string|null) => void} tell
 */

let n_fields = 0;

/**
 * @param {FieldSpec} spec
 * @param {Given} given
 * @param {FieldHost} host
 * @returns {Field}
 */
export function makeField(spec, given, host) {
    const id = `field-${++n_fields}`;
    const wrong = h('p', { class: 'field-wrong', id: `${id}-wrong`, 'aria-live': 'polite' });
    const elsewhere = h('p', { class: 'field-elsewhere', id: `${id}-elsewhere`, 'aria-live': 'polite' });
    const written = h('span', { class: 'field-written', role: 'status' });
    const hint = h('p', { class: 'field-hint', id: `${id}-hint` }, hintOf(spec));
    const describedBy = `${id}-wrong ${id}-elsewhere ${id}-hint`;

    let inFile = given;
    let asked = 0;
    let isCommitting = false;
    let isAskedAgain = false;

    const hand = {
        isDirty: () => isDirty(),
        typed: () => {
            const mine = ++asked;
            setText(written, '');
            setText(elsewhere, isDirty() ? elsewhere.textContent ?? '' : '');
            if (!isDirty()) return tell(null);
            setTimeout(async () => {
                if (mine !== asked) return;
                const what = await host.check(spec.key, entry.value());
                if (mine === asked) tell(what);
            }, REST_ms);
        },
        done: async () => {
            if (isCommitting) isAskedAgain = true;
            if (isCommitting || !isDirty()) return;
            asked++;
            isCommitting = true;
            const sent = entry.value();
            const what = await host.commit(spec.key, sent);
            isCommitting = false;
            // What was typed since is not what was sent: it stays.
            const isAsSent = isSame(entry.value(), sent);
            if (isAsSent && what === null && isDirty()) hand.revert();
            else if (isAsSent) tell(what);
            if (what === null && isSame(sent, inFile)) setText(written, host.written ?? '');
            if (isAskedAgain && !isAsSent) hand.done();
            isAskedAgain = false;
        },
        revert: () => {
            asked++;
            entry.show(inFile);
            tell(null);
            setText(elsewhere, '');
        },
    };
    const entry = (spec.form === 'list' ? listEntry : spec.form === 'choice' ? choiceEntry : textEntry)(id, describedBy, spec, hand);
    entry.show(given);

    const isDirty = () => !isSame(entry.value(), inFile);

    /** @param {string|null} what */
    function tell(what) {
        setText(wrong, what ?? '');
        element.classList.toggle('is-wrong', what !== null);
        for (const control of entry.controls()) setAttribute(control, 'aria-invalid', what === null ? null : 'true');
    }

    const caption = spec.form === 'list'
        ? h('span', { class: 'field-label', id: `${id}-label` }, spec.label)
        : h('label', { class: 'field-label', for: id }, spec.label);
    if (spec.isRequired && spec.form !== 'choice') caption.append(h('span', { class: 'field-must' }, ' must be given'));
    const element = h('div', { class: `field field-${spec.form}`, 'data-key': spec.key }, caption, written, entry.element, wrong, elsewhere, hint);

    return {
        element,
        isDirty,
        tell,
        value: entry.value,
        focus: entry.focus,
        update: (now) => {
            const wasDirty = isDirty();
            const isChanged = !isSame(now, inFile);
            inFile = now;
            if (!wasDirty || isSame(entry.value(), now)) {
                if (!wasDirty && isChanged) entry.show(now);
                setText(elsewhere, '');
                if (isChanged) tell(null);
            } else if (isChanged) {
                setText(elsewhere, `The file has now: ${inWords(now)}. What you typed is not lost.`);
            }
        },
    };
}

/** @param {Given} given */
export const inWords = (given) =>
    given === undefined ? 'nothing here' : Array.isArray(given) ? `[${given.join(', ')}]` : given;

/**
 * @param {Given} a
 * @param {Given} b
 */
export function isSame(a, b) {
    if (Array.isArray(a) && Array.isArray(b)) return a.length === b.length && a.every((entry, i) => entry === b[i]);
    return a === b;
}

/**
 * What it means; what holds when it is empty, and where that comes from. Between backquotes stands what a file would say.
 * @param {FieldSpec} spec
 */
function hintOf(spec) {
    const otherwise = spec.default && spec.from ? `If empty: ${spec.default} (${spec.from})` : '';
    const words = [spec.says, otherwise].filter(Boolean).join('. ');
    return words.split('`').map((part, i) => (i % 2 ? h('code', {}, part) : part));
}

/** @typedef {{isDirty: () => boolean, typed: () => void, done: () => void, revert: () => void}} Hand */
/** @typedef {{element: HTMLElement, controls: () => HTMLElement[], value: () => Given, show: (given: Given) => void, focus: () => void}} Entry */
/** @typedef {(id: string, describedBy: string, spec: FieldSpec, hand: Hand) => Entry} MakeEntry */

/**
 * Enter commits, leaving commits, Escape gives up what is typed; with nothing typed it goes on to what is around.
 * @param {HTMLElement} input
 * @param {Hand} hand
 * @param {boolean} isLong Enter breaks the line; Ctrl+Enter commits
 */
function listen(input, hand, isLong = false) {
    input.addEventListener('input', hand.typed);
    input.addEventListener('change', hand.done);
    input.addEventListener('keydown', (event) => {
        if (event.key === 'Enter' && (!isLong || event.ctrlKey || event.metaKey)) {
            event.preventDefault();
            hand.done();
        } else if (event.key === 'Escape' && hand.isDirty()) {
            event.preventDefault();
            event.stopPropagation();
            hand.revert();
        }
    });
}

/** @type {MakeEntry} */
function textEntry(id, describedBy, spec, hand) {
    const list = spec.offers?.length ? `${id}-offers` : null;
    const shared = { id, 'aria-describedby': describedBy, placeholder: spec.default ?? null, autocomplete: 'off', spellcheck: spec.form === 'long' };
    const input = spec.form === 'long' ? h('textarea', { ...shared, rows: 2 }) : h('input', { ...shared, type: 'text', list });
    listen(input, hand, spec.form === 'long');
    const row = h('div', { class: 'field-row' }, input);
    if (list) row.append(h('datalist', { id: list }, (spec.offers ?? []).map((offer) => h('option', { value: offer }))));
    if (spec.pick) row.append(pickButton(spec, input, hand));
    return {
        element: row,
        controls: () => [input],
        value: () => (input.value.trim() === '' ? undefined : input.value.trim()),
        show: (given) => { input.value = typeof given === 'string' ? given : ''; },
        focus: () => { input.focus(); input.select(); },
    };
}

/**
 * @param {FieldSpec} spec
 * @param {HTMLInputElement|HTMLTextAreaElement} input
 * @param {Hand} hand
 */
function pickButton(spec, input, hand) {
    const choose = async () => {
        const picked = await spec.pick?.(input.value);
        if (picked === null || picked === undefined) return;
        input.value = picked;
        hand.done();
    };
    return h('button', { type: 'button', class: 'quiet', onclick: choose, 'aria-label': `${spec.pickLabel}: ${spec.label}` }, spec.pickLabel);
}

/** @type {MakeEntry} */
function choiceEntry(id, describedBy, spec, hand) {
    const name = (/** @type {string} */ choice) => spec.choiceNames?.[choice] ?? choice;
    const select = h('select', { id, 'aria-describedby': describedBy });
    if (!spec.isRequired) select.append(h('option', { value: '' }, spec.default ? `${name(spec.default)} (not given)` : 'not given'));
    for (const choice of spec.choices ?? []) select.append(h('option', { value: choice }, name(choice)));
    select.addEventListener('change', hand.done);
    return {
        element: select,
        controls: () => [select],
        value: () => select.value || undefined,
        show: (given) => {
            const word = typeof given === 'string' ? given : '';
            if (word && ![...select.options].some((option) => option.value === word)) select.append(h('option', { value: word }, word));
            select.value = word;
        },
        focus: () => select.focus(),
    };
}

/** @type {MakeEntry} */
function listEntry(id, describedBy, spec, hand) {
    const rows = h('ol', { class: 'field-rows' });
    const offers = spec.offers?.length ? h('datalist', { id: `${id}-offers` }, spec.offers.map((offer) => h('option', { value: offer }))) : null;
    const inputs = () => [...rows.querySelectorAll('input')];
    const name = (/** @type {number} */ i) => `${spec.label} ${i + 1}`;

    const renumber = () => {
        [...rows.children].forEach((row, i) => {
            row.querySelector('input')?.setAttribute('aria-label', name(i));
            row.querySelector('.row-up')?.setAttribute('aria-label', `Move ${name(i)} up`);
            row.querySelector('.row-up')?.toggleAttribute('disabled', i === 0);
            row.querySelector('.row-drop')?.setAttribute('aria-label', `Take out ${name(i)}`);
        });
    };
    /** @param {string} value */
    const addRow = (value) => {
        const input = h('input', { type: 'text', value, 'aria-describedby': describedBy, autocomplete: 'off', list: offers?.id });
        listen(input, hand);
        const up = h('button', { type: 'button', class: 'quiet row-up', onclick: () => {
            row.previousElementSibling?.before(row);
            renumber();
            input.focus();
            hand.done();
        } }, '↑');
        const drop = h('button', { type: 'button', class: 'quiet row-drop', onclick: () => {
            const near = row.nextElementSibling ?? row.previousElementSibling;
            row.remove();
            renumber();
            (near?.querySelector('input') ?? add).focus();
            hand.done();
        } }, '✕');
        const row = h('li', {}, input, up, drop);
        rows.append(row);
        renumber();
        return input;
    };
    const add = h('button', { type: 'button', class: 'quiet', onclick: () => addRow('').focus() }, `Add to ${spec.label}`);
    return {
        element: h('div', { role: 'group', 'aria-labelledby': `${id}-label`, 'aria-describedby': describedBy }, rows, offers, add),
        controls: () => inputs(),
        value: () => {
            const entries = inputs().map((input) => input.value.trim()).filter(Boolean);
            return entries.length ? entries : undefined;
        },
        show: (given) => {
            rows.replaceChildren();
            for (const entry of Array.isArray(given) ? given : []) addRow(entry);
        },
        focus: () => (inputs()[0] ?? add).focus(),
    };
}
