/* The file as text: an editor of our own over a text area, with line numbers, and its faults at their lines. What is typed
 * stays, whether it is refused or the file changes meanwhile. */
import { h, setText } from '../dom.js';
import { addView } from '../views.js';
import { wants } from './wants.js';

/** @typedef {import('../store.js').Store} Store */
/** @typedef {import('../types.js').Fault} Fault */

/** Text that was typed and not saved outlives the view. @type {{text: string, revision: number, from: string}|null} */
let unsaved = null;

/**
 * @param {HTMLElement} element
 * @param {Store} store
 */
function mountText(element, store) {
    let revision = 0;
    let inFile = '';
    const gutter = h('div', { class: 'text-gutter', 'aria-hidden': 'true' });
    const area = h('textarea', { class: 'text-area', spellcheck: 'false', wrap: 'off', 'aria-label': 'The file as text', 'aria-describedby': 'text-state' });
    const state = h('p', { class: 'text-state', id: 'text-state', role: 'status' });
    const faults = h('ol', { class: 'text-faults', 'aria-label': 'Faults' });
    const save = h('button', { type: 'button', class: 'main', 'aria-keyshortcuts': 'Control+S', onclick: () => write() }, 'Save');
    const revert = h('button', { type: 'button', onclick: () => take(inFile, revision) }, 'Give up what I typed');
    const beside = h('div', { class: 'text-beside', hidden: true });

    const isDirty = () => area.value !== inFile;
    const lines = () => area.value.split('\n');

    const showGutter = (/** @type {Fault[]} */ marked) => {
        const bad = new Set(marked.map((fault) => fault.line));
        gutter.replaceChildren(...lines().map((_, i) => h('span', { class: bad.has(i + 1) ? 'is-bad' : null }, String(i + 1))));
        gutter.scrollTop = area.scrollTop;
    };
    const showFaults = (/** @type {Fault[]} */ found) => {
        faults.hidden = found.length === 0;
        faults.replaceChildren(...found.map((fault) => h('li', {},
            h('button', { type: 'button', onclick: () => jump(fault.line, fault.column) },
                h('span', { class: 'fault-at' }, `line ${fault.line}`), ` ${fault.wrong}`, fault.right ? h('span', { class: 'fault-right' }, `; ${fault.right}`) : null))));
        showGutter(found);
    };
    const showState = () => {
        const words = isDirty() ? 'Not saved yet.' : `This is ${store.state.file?.file ?? 'the file'} as it is.`;
        setText(state, words);
        save.disabled = !isDirty();
        revert.hidden = !isDirty();
        unsaved = isDirty() ? { text: area.value, revision, from: inFile } : null;
    };
    /** @param {string} text @param {number} at */
    const take = (text, at) => {
        const { selectionStart, selectionEnd, scrollTop } = area;
        inFile = text;
        revision = at;
        area.value = text;
        area.setSelectionRange(selectionStart, selectionEnd);
        area.scrollTop = scrollTop;
        beside.hidden = true;
        showFaults(store.state.file?.faults ?? []);
        showState();
    };
    /** @param {number} line @param {number} [column] */
    const jump = (line, column = 1) => {
        const before = lines().slice(0, line - 1).reduce((n, each) => n + each.length + 1, 0);
        const end = before + (lines()[line - 1]?.length ?? 0);
        area.focus();
        area.setSelectionRange(Math.min(before + column - 1, end), end);
        const height = area.scrollHeight / Math.max(lines().length, 1);
        area.scrollTop = Math.max(0, (line - 1) * height - area.clientHeight / 3);
    };

    const fetchText = () => store.server.get('/api/text');
    const follow = async () => {
        const now = await fetchText();
        if (now.revision === revision) return showFaultsOfFile();
        if (!isDirty() || now.text === area.value) take(now.text, now.revision);
        else offerBoth(now.text, now.revision);
    };
    const showFaultsOfFile = () => {
        if (!isDirty()) showFaults(store.state.file?.faults ?? []);
    };

    /**
     * The file changed while something else stands here: both, side by side.
     * @param {string} theirs
     * @param {number} at
     */
    const offerBoth = (theirs, at) => {
        const mine = new Set(lines());
        const has = new Set(theirs.split('\n'));
        const show = (/** @type {string[]} */ text, /** @type {Set<string>} */ other) => h('pre', { tabindex: 0 },
            text.map((line) => h('span', { class: other.has(line) ? null : 'is-other' }, `${line}\n`)));
        beside.hidden = false;
        beside.replaceChildren(
            h('h3', {}, 'Both changed'),
            h('p', {}, 'The file was changed by another hand while you typed. Lines that the other side lacks are marked. Nothing is lost until you choose.'),
            h('div', { class: 'text-both' },
                h('section', { 'aria-label': 'What you typed' }, h('h4', {}, 'What you typed'), show(lines(), has),
                    h('button', { type: 'button', onclick: () => write(at) }, 'Save mine over it')),
                h('section', { 'aria-label': 'What the file has now' }, h('h4', {}, 'What the file has now'), show(theirs.split('\n'), mine),
                    h('button', { type: 'button', onclick: () => keepTheirs(theirs, at) }, 'Take the file’s'))));
        setText(state, 'Both changed: choose below.');
    };
    /** @param {string} theirs @param {number} at */
    const keepTheirs = (theirs, at) => {
        const mine = area.value;
        take(theirs, at);
        store.say('The file’s text is shown. What you typed can be brought back.', { action: { words: 'Bring it back', run: () => {
            area.value = mine;
            typed();
        } } });
    };

    /** @param {number} [over] the revision that it may replace, else the one that was seen */
    const write = async (over) => {
        const text = area.value;
        const outcome = await store.change('/api/text', { revision: over ?? revision, text, says: 'edit the text' });
        if (outcome.ok) return take(text, outcome.revision);
        if (outcome.status === 409) {
            const now = await fetchText();
            return offerBoth(now.text, now.revision);
        }
        showFaults(outcome.faults ?? []);
        setText(state, `Not saved: ${outcome.error}`);
    };
    const typed = () => {
        showGutter([]);
        showState();
    };

    area.addEventListener('input', typed);
    area.addEventListener('scroll', () => { gutter.scrollTop = area.scrollTop; });
    element.addEventListener('keydown', (event) => {
        if (event.key.toLowerCase() !== 's' || !(event.ctrlKey || event.metaKey)) return;
        event.preventDefault();
        write();
    });
    element.append(h('section', { class: 'text' },
        h('header', { class: 'text-head' }, h('h2', {}, 'The file'), state, revert, save),
        faults, beside,
        h('div', { class: 'text-body' }, gutter, area)));

    const wanted = wants.line;
    wants.line = null;
    fetchText().then((now) => {
        const kept = unsaved;
        take(now.text, now.revision);
        if (kept) {
            area.value = kept.text;
            revision = kept.revision;
            inFile = kept.from;
            if (now.revision !== kept.revision) offerBoth(now.text, now.revision);
            typed();
        }
        const line = typeof wanted === 'string' ? lines().findIndex((each) => each.startsWith(wanted)) + 1 : wanted;
        if (line) jump(line);
    });
    return store.subscribe(['file'], () => { if (revision > 0) follow(); });
}

addView({
    id: 'text',
    title: 'Text',
    key: 't',
    order: 50,
    isThere: (store) => Boolean(store.state.file?.has_file),
    mount: mountText,
});
