/* Shows a reading on a drawing: which way and how much current, what is live, what runs, which lamp is lit, where each switch
 * stands. It touches only what differs from the reading before. All of it is said by the program; here it is only drawn. */

import { setText, svg } from './dom.js';
import { amps, volts, watts } from './numbers.js';

/** @typedef {import('./types.js').Reading} Reading */
/** @typedef {import('./drawing.js').Drawing} Drawing */
/** @typedef {{x: number, y: number}} Point */

/** From these currents on a wire is drawn thicker, A: a step is about three times the one before. */
const THICKER_A = [0.1, 0.3, 1, 3, 10, 30, 100];
const CHEVRON_PITCH_MM = 7;
const CHEVRON_MM = 0.95;
const DIAL_SWEEP_DEG = 270;

export const STATE_WORDS = { runs: 'runs', dims: 'dims', starved: 'starved', floats: 'not connected', off: 'off' };

/**
 * @typedef {object} WireParts
 * @property {SVGGElement} group
 * @property {SVGPathElement|null} run
 * @property {Element|null} size text that gives way to the current
 * @property {SVGElement|null} current
 * @property {{[way: string]: SVGElement}} chevrons
 * @property {string} shown what it shows, to compare
 */

/**
 * @typedef {object} ItemParts
 * @property {SVGGElement} group
 * @property {Element|null} rating text that gives way to the state
 * @property {SVGElement|null} state
 * @property {string} shown
 */

export class Painter {
    /** @param {Drawing} drawing after it showed a scene */
    constructor(drawing) {
        /** @type {Map<string, WireParts>} by label */
        this.wires = new Map();
        /** @type {Map<string, ItemParts>} by id */
        this.items = new Map();
        this.drawing = drawing;
    }

    /**
     * @param {import('./types.js').Van} van
     * @param {(prefix: string, name: string) => SVGGElement|undefined} groupOf
     */
    learn(van, groupOf) {
        for (const { label } of van.wires) {
            const group = groupOf('wire', label);
            if (group) this.wires.set(label, wireParts(group));
        }
        for (const { id } of van.items) {
            const group = groupOf('item', id);
            if (group) this.items.set(id, itemParts(group));
        }
    }

    /** @param {Reading} reading */
    show(reading) {
        for (const [label, parts] of this.wires) this.showWire(parts, reading, label);
        for (const [id, parts] of this.items) this.showItem(parts, reading.items[id] ?? {});
    }

    /**
     * @param {WireParts} parts
     * @param {Reading} reading
     * @param {string} label
     */
    showWire(parts, reading, label) {
        const flow = reading.amps[label] ?? 0;
        const state = reading.wires?.[label] ?? 'floats';
        const carries = state === 'carries';
        const strong = Math.max(Math.abs(flow), reading.amps_rms[label] ?? 0);
        const step = carries ? THICKER_A.filter((from) => strong >= from).length : 0;
        const words = carries ? amps(Math.abs(flow)) : '';
        const way = carries ? (flow < 0 ? 'back' : 'forth') : '';
        const shown = `${state} ${step} ${way} ${words}`;
        if (shown === parts.shown) return;
        parts.shown = shown;
        const { group } = parts;
        group.classList.remove('carries', 'live', 'dead', 'floats');
        group.classList.add(state);
        group.setAttribute('data-step', String(step));
        group.setAttribute('data-way', way);
        this.showCurrent(parts, words);
        if (way && !parts.chevrons[way] && parts.run) {
            parts.chevrons[way] = chevrons(pointsOf(parts.run), way);
            parts.run.after(parts.chevrons[way]);
        }
    }

    /**
     * The current stands where the size does, while there is one.
     * @param {WireParts} parts
     * @param {string} words
     */
    showCurrent(parts, words) {
        if (!parts.size) return;
        if (!parts.current) {
            if (!words) return;
            parts.current = standIn(parts.size, 'current');
        }
        parts.group.classList.toggle('says-current', words !== '');
        setText(parts.current, words);
    }

    /**
     * @param {ItemParts} parts
     * @param {import('./types.js').ItemReading} item
     */
    showItem(parts, item) {
        const { group } = parts;
        const state = item.state ?? '';
        const words = stateWords(item);
        const shown = `${state}|${item.position ?? ''}|${item.lamp ?? ''}|${words}|${item.volts ?? ''}`;
        if (shown === parts.shown) return;
        parts.shown = shown;
        group.classList.remove('runs', 'dims', 'starved', 'off');
        if (state && state !== 'floats') group.classList.add(state);
        group.classList.toggle('lit', item.lamp === 'lit' || state === 'runs' || state === 'dims');
        if (item.position !== undefined) showPosition(group, item.position);
        const reading = group.querySelector('.reading');
        if (reading) setText(reading, item.state === 'runs' ? (item.volts ?? 0).toFixed(1) : '--.-');
        if (!parts.rating) return;
        parts.state ??= standIn(parts.rating, 'state');
        group.classList.toggle('says-state', words !== '');
        setText(parts.state, words);
    }
}

/**
 * What an item does, in words short enough for the drawing; nothing while it is off.
 * @param {import('./types.js').ItemReading} item
 */
function stateWords(item) {
    if (!item.state || item.state === 'off' || item.state === 'floats') return '';
    return item.state === 'starved' ? 'starved' : powerWords(item);
}

/**
 * A charger gives power, which is counted below nothing.
 * @param {import('./types.js').ItemReading} item
 */
function powerWords(item) {
    const power = item.watts ?? 0;
    return power < 0 ? `gives ${watts(-power)}` : `${item.state} ${watts(power)}`;
}

/**
 * @param {import('./types.js').ItemReading} item
 * @returns {string} for the words beside the drawing
 */
export function itemWords(item) {
    const isGiving = (item.watts ?? 0) < 0 && item.state === 'runs';
    const words = item.state ? [isGiving ? 'gives' : STATE_WORDS[item.state], volts(item.volts), watts(Math.abs(item.watts ?? 0))] : [];
    if (item.position !== undefined) words.unshift(item.position);
    if (item.lamp) words.push(`lamp ${item.lamp}`);
    return words.join(', ');
}

/**
 * @param {SVGGElement} group
 * @param {string} position "on", "40 %"
 */
function showPosition(group, position) {
    for (const part of group.querySelectorAll('.position')) {
        part.classList.toggle('now', part.classList.contains(`position-${position}`));
    }
    group.classList.add('stands');
    const value = group.querySelector('.dial-value');
    if (value) setText(value, position);
    const knob = group.querySelector('.knob');
    const pointer = group.querySelector('.pointer');
    if (knob && pointer) {
        const rest = Number(group.getAttribute('data-rest') ?? value?.getAttribute('data-rest') ?? 0);
        const turn = (parseFloat(position) / 100 - rest) * DIAL_SWEEP_DEG;
        pointer.setAttribute('transform', `rotate(${turn} ${knob.getAttribute('cx')} ${knob.getAttribute('cy')})`);
    }
}

/** @param {SVGGElement} group @returns {WireParts} */
function wireParts(group) {
    const run = group.querySelector('path.run');
    return { group, run: run instanceof SVGPathElement ? run : null, size: group.querySelector('text:not([class*="MONO"])'), current: null, chevrons: {}, shown: '' };
}

/** @param {SVGGElement} group @returns {ItemParts} */
function itemParts(group) {
    const dial = group.querySelector('.dial-value');
    if (dial) group.setAttribute('data-rest', String(parseFloat(dial.textContent ?? '0') / 100));
    return { group, rating: group.querySelector('.rating'), state: null, shown: '' };
}

/**
 * A text in the place of another one.
 * @param {Element} text
 * @param {string} name
 */
function standIn(text, name) {
    const face = [...text.classList].filter((word) => /^[tf]-/.test(word)).join(' ');
    const other = svg('text', { class: `${face} ${name}` });
    for (const attribute of ['x', 'y', 'font-size', 'text-anchor']) {
        const value = text.getAttribute(attribute);
        if (value) other.setAttribute(attribute, value);
    }
    text.classList.add('gives-way');
    text.after(other);
    return other;
}

/* --- chevrons --- */

/**
 * The corners of a run, which is drawn by M and L alone.
 * @param {SVGPathElement} run
 * @returns {Point[]}
 */
export function pointsOf(run) {
    const numbers = (run.getAttribute('d') ?? '').match(/-?[\d.]+/g)?.map(Number) ?? [];
    return Array.from({ length: numbers.length >> 1 }, (_, i) => ({ x: numbers[2 * i], y: numbers[2 * i + 1] }));
}

/**
 * Open arrow heads along a line, evenly, clear of its corners; one in its middle if it is short. Each straight part knows how
 * far its heads go until each stands where the one before it stood, so that they can run.
 * @param {Point[]} points
 * @param {'forth'|'back'} way
 */
function chevrons(points, way) {
    const along = way === 'back' ? [...points].reverse() : points;
    const group = svg('g', { class: `chevrons ${way}` });
    along.slice(1).forEach((to, i) => {
        const from = along[i];
        const length = Math.hypot(to.x - from.x, to.y - from.y);
        if (length < 3 * CHEVRON_MM) return;
        const n = Math.max(1, Math.floor(length / CHEVRON_PITCH_MM));
        const unit = { x: (to.x - from.x) / length, y: (to.y - from.y) / length };
        const heads = Array.from({ length: n }, (_, k) => chevron(from, unit, ((k + 0.5) * length) / n));
        const part = svg('path', { d: heads.join('') });
        part.style.setProperty('--dx', `${((unit.x * length) / n).toFixed(2)}px`);
        part.style.setProperty('--dy', `${((unit.y * length) / n).toFixed(2)}px`);
        group.append(part);
    });
    return group;
}

/**
 * @param {Point} from
 * @param {Point} unit
 * @param {number} at
 */
function chevron(from, unit, at) {
    const tip = at + CHEVRON_MM / 2;
    const tail = at - CHEVRON_MM / 2;
    const point = (/** @type {number} */ along, /** @type {number} */ aside) =>
        `${(from.x + unit.x * along - unit.y * aside).toFixed(2)} ${(from.y + unit.y * along + unit.x * aside).toFixed(2)}`;
    return `M${point(tail, -CHEVRON_MM)}L${point(tip, 0)}L${point(tail, CHEVRON_MM)}`;
}
