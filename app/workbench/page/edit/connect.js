/* Connecting: by a list of terminals for the keyboard, and by dragging on a drawing. Both end in a new wire, chosen, with the
 * hand on its length; or, from the end of a chosen wire, in that end moved. */
import { h } from '../dom.js';
import { addCommands, atStart } from '../views.js';
import { addWire, itemName, moveEnd } from './deeds.js';
import { openDialog } from './dialog.js';

/** @typedef {import('../store.js').Store} Store */
/** @typedef {import('../types.js').Terminal} Terminal */
/** @typedef {import('../types.js').Wire} Wire */

/* --- the list --- */

/** @param {Terminal} terminal */
const burden = (terminal) =>
    terminal.wires.length === 0 ? 'free' : `${terminal.wires.length} wire${terminal.wires.length > 1 ? 's' : ''}: ${terminal.wires.join(', ')}`;

/**
 * Terminals by item, those with a free one first, as are free terminals within an item.
 * @param {Store} store
 * @param {string} words each of them must be in what is found
 * @param {string} [except]
 */
function terminalsFound(store, words, except) {
    const wanted = words.toLowerCase().split(/\s+/).filter(Boolean);
    const isFree = (/** @type {Terminal} */ terminal) => terminal.wires.length === 0;
    const groups = (store.state.van?.items ?? []).map((item) => {
        const text = `${item.id} ${item.name} ${item.kind}`.toLowerCase();
        const found = item.terminals.filter((terminal) => terminal.id !== except && wanted.every((word) => `${text} ${terminal.id}`.includes(word)));
        return { item, terminals: [...found.filter(isFree), ...found.filter((terminal) => !isFree(terminal))] };
    }).filter((group) => group.terminals.length > 0);
    const hasFree = groups.filter((group) => isFree(group.terminals[0]));
    return [...hasFree, ...groups.filter((group) => !hasFree.includes(group))];
}

/**
 * Asks for a terminal: type to find, arrows to go, Enter to take.
 * @param {Store} store
 * @param {string} title
 * @param {string} [typed]
 * @param {string} [except]
 * @returns {Promise<string|null>}
 */
export function pickTerminal(store, title, typed = '', except = undefined) {
    return new Promise((resolve) => {
        /** @type {string|null} */
        let picked = null;
        let at = 0;
        const list = h('div', { class: 'terminal-options', role: 'listbox', id: 'terminal-options', 'aria-label': 'Terminals' });
        const search = h('input', { type: 'search', role: 'combobox', 'aria-expanded': 'true', 'aria-controls': 'terminal-options',
            'aria-autocomplete': 'list', 'aria-label': 'Search a terminal', placeholder: 'Search: an item, a terminal', autocomplete: 'off' });
        const options = () => [...list.querySelectorAll('[role=option]')];
        const mark = () => {
            options().forEach((option, i) => option.setAttribute('aria-selected', String(i === at)));
            const option = options()[at];
            option?.scrollIntoView({ block: 'nearest' });
            if (option) search.setAttribute('aria-activedescendant', option.id);
            else search.removeAttribute('aria-activedescendant');
        };
        const take = (/** @type {string|undefined} */ terminal) => {
            if (!terminal) return;
            picked = terminal;
            dialog.close();
        };
        const show = () => {
            at = 0;
            list.replaceChildren(...terminalsFound(store, search.value, except).map(({ item, terminals }) =>
                h('div', { role: 'group', 'aria-label': itemName(item) }, h('p', { class: 'option-group', 'aria-hidden': 'true' }, itemName(item)),
                    terminals.map((terminal) => h('div', { role: 'option', id: `option-${terminal.id}`, 'data-terminal': terminal.id, onclick: () => take(terminal.id) },
                        h('strong', {}, terminal.word), h('span', { class: terminal.wires.length ? '' : 'is-free' }, burden(terminal)))))));
            if (!list.childElementCount) list.append(h('p', {}, 'No terminal has these words.'));
            mark();
        };
        search.addEventListener('input', show);
        search.addEventListener('keydown', (event) => {
            const step = { ArrowDown: 1, ArrowUp: -1, PageDown: 8, PageUp: -8 }[event.key];
            if (step) at = Math.min(Math.max(at + step, 0), options().length - 1);
            else if (event.key === 'Escape') dialog.close();
            else if (event.key === 'Enter') take(/** @type {HTMLElement} */ (options()[at])?.dataset.terminal);
            else return;
            event.preventDefault();
            mark();
        });
        const dialog = openDialog(title, { class: 'terminal-dialog', body: [search, list], onclose: () => resolve(picked) });
        search.value = typed;
        show();
        search.focus();
        search.select();
    });
}

/**
 * @param {Store} store
 * @param {string} from
 */
export async function connectFrom(store, from) {
    const to = await pickTerminal(store, `Connect ${from} with`, '', from);
    if (to) await connect(store, from, to);
}

/**
 * @param {Store} store
 * @param {string} from
 * @param {string} to
 */
const connect = (store, from, to) => addWire(store, `connect ${from} with ${to}`, { from, to }, 'length');

/** @param {Store} store */
async function connectChosen(store) {
    const { selection } = store.state;
    const focused = terminalAt(document.activeElement, store);
    const from = focused ?? (selection?.type === 'terminal' ? selection.id : await pickTerminal(store, 'Connect which terminal?', selection?.type === 'item' ? selection.id : ''));
    if (from) await connectFrom(store, from);
}

addCommands({
    id: 'connect',
    name: 'Connect a terminal …',
    group: 'Edit',
    keys: ['C'],
    isPossible: (store) => store.state.van !== null,
    run: (store) => { connectChosen(store); },
});

/* --- the drag --- */

/** From how far on a press is a drag, pixels. */
const DRAG_px = 5;
/** How near a terminal must be to be taken, pixels: a finger is thicker than a mouse is. */
const NEAR_px = { mouse: 18, pen: 22, touch: 34 };
const SVG = 'http://www.w3.org/2000/svg';

/** @typedef {{x: number, y: number}} Point */

/**
 * The name of the terminal whose shapes an element is among.
 * @param {unknown} element
 * @param {Store} store
 */
function terminalAt(element, store) {
    if (!(element instanceof Element)) return null;
    const name = element.closest('g.terminal')?.id.replace(/^terminal-/, '');
    return name && store.terminal(name) ? name : null;
}

/** @param {Element} element @returns {Point} */
function middle(element) {
    const box = (element.querySelector('.hit') ?? element).getBoundingClientRect();
    return { x: box.x + box.width / 2, y: box.y + box.height / 2 };
}

/**
 * @param {SVGSVGElement} svg
 * @param {Point} point on the screen
 */
function toDrawing(svg, point) {
    const matrix = svg.getScreenCTM();
    return matrix ? new DOMPoint(point.x, point.y).matrixTransform(matrix.inverse()) : point;
}

/**
 * One drag, from a press on a terminal to its end.
 * @param {Store} store
 * @param {Element} group of the terminal that it starts from
 * @param {PointerEvent} press
 * @param {(terminal: string) => void} done
 * @param {string} fixed the terminal that stays
 */
function startDrag(store, group, press, done, fixed) {
    const svg = group.closest('svg');
    if (!(svg instanceof SVGSVGElement)) return;
    const start = { x: press.clientX, y: press.clientY };
    const host = svg.closest('.viewport')?.parentElement;
    const stays = svg.querySelector(`[id="terminal-${fixed}"]`) ?? group;
    const ends = [...svg.querySelectorAll('g.terminal')].filter((end) => end.id !== `terminal-${fixed}`);
    const band = document.createElementNS(SVG, 'line');
    band.setAttribute('class', 'rubber-band');
    let isDragging = false;
    /** @type {Element|null} */
    let target = null;

    const begin = () => {
        isDragging = true;
        host?.classList.add('connecting');
        const from = toDrawing(svg, middle(stays));
        band.setAttribute('x1', String(from.x));
        band.setAttribute('y1', String(from.y));
        svg.append(band);
        svg.classList.add('is-connecting');
        for (const end of ends) end.classList.toggle('is-free', store.terminal(end.id.replace(/^terminal-/, ''))?.wires.length === 0);
    };
    /** @param {Element|null} next */
    const aim = (next) => {
        if (next === target) return;
        target?.classList.remove('is-target');
        next?.classList.add('is-target');
        target = next;
    };
    /** @param {PointerEvent} event */
    const move = (event) => {
        if (event.pointerId !== press.pointerId) return;
        if (!isDragging && Math.hypot(event.clientX - start.x, event.clientY - start.y) < DRAG_px) return;
        if (!isDragging) begin();
        event.preventDefault();
        const here = { x: event.clientX, y: event.clientY };
        aim(nearest(ends, here, NEAR_px[/** @type {keyof typeof NEAR_px} */ (press.pointerType)] ?? NEAR_px.mouse));
        const to = toDrawing(svg, target ? middle(target) : here);
        band.setAttribute('x2', String(to.x));
        band.setAttribute('y2', String(to.y));
    };
    const stop = new AbortController();
    const end = () => {
        stop.abort();
        band.remove();
        host?.classList.remove('connecting');
        svg.classList.remove('is-connecting');
        for (const each of ends) each.classList.remove('is-free', 'is-target');
    };
    const listen = { signal: stop.signal, capture: true };
    window.addEventListener('pointermove', move, listen);
    window.addEventListener('pointerup', (event) => {
        if (event.pointerId !== press.pointerId) return;
        const taken = target;
        const wasDrag = isDragging;
        end();
        if (wasDrag) swallowClick();
        if (wasDrag && taken) done(taken.id.replace(/^terminal-/, ''));
    }, listen);
    window.addEventListener('pointercancel', end, listen);
    window.addEventListener('keydown', (event) => {
        if (event.key !== 'Escape' || !isDragging) return;
        event.preventDefault();
        event.stopPropagation();
        end();
    }, listen);
}

/** The click that follows a drag is not a choice. */
function swallowClick() {
    const swallow = (/** @type {Event} */ event) => event.stopPropagation();
    window.addEventListener('click', swallow, { capture: true, once: true });
    setTimeout(() => window.removeEventListener('click', swallow, { capture: true }), 50);
}

/**
 * @param {Element[]} ends
 * @param {Point} here
 * @param {number} near
 */
function nearest(ends, here, near) {
    let best = null;
    let least = near;
    for (const end of ends) {
        const at = middle(end);
        const distance = Math.hypot(at.x - here.x, at.y - here.y);
        if (distance < least) [best, least] = [end, distance];
    }
    return best;
}

/**
 * The end of the chosen wire at a terminal, which a drag from there moves.
 * @param {Store} store
 * @param {string} terminal
 * @returns {{wire: Wire, end: 'from'|'to', stays: string}|null}
 */
function chosenEnd(store, terminal) {
    const { selection } = store.state;
    const wire = selection?.type === 'wire' ? store.wire(selection.id) : null;
    if (wire?.from === terminal) return { wire, end: 'from', stays: wire.to };
    if (wire?.to === terminal) return { wire, end: 'to', stays: wire.from };
    return null;
}

atStart((store) => {
    const space = document.querySelector('#space');
    space?.addEventListener('pointerdown', (event) => {
        if (!(event instanceof PointerEvent) || event.button !== 0 || !event.isPrimary) return;
        const terminal = terminalAt(event.target, store);
        const group = event.target instanceof Element ? event.target.closest('g.terminal') : null;
        if (!terminal || !group) return;
        const moved = chosenEnd(store, terminal);
        if (moved) startDrag(store, group, event, (to) => moveEnd(store, moved.wire, moved.end, to), moved.stays);
        else startDrag(store, group, event, (to) => connect(store, terminal, to), terminal);
    }, { capture: true });
});
