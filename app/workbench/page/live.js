/* The live drawings: the circuit diagram and the panels. A switch moves when it is clicked or keyed, the program measures, and
 * the drawing shows what it says. */

import { Drawing } from './drawing.js';
import { h, svg } from './dom.js';
import { MeterBox } from './meter-box.js';
import { askPosition, stepPosition } from './positions.js';
import { Painter } from './paint.js';
import { selectionOf } from './places.js';
import { copyPicture } from './picture.js';
import { addCommands, addView } from './views.js';

/** @typedef {import('./store.js').Store} Store */
/** @typedef {import('./types.js').Selection} Selection */

const TYPES = /** @type {const} */ (['wire', 'item', 'terminal']);

/** The id of a group: what an id in XML can't hold is written as _HEX_. @param {string} type @param {string} name */
const groupId = (type, name) =>
    `${type}-${[...name].map((c) => (/[A-Za-z0-9.-]/.test(c) ? c : `_${c.codePointAt(0)?.toString(16).toUpperCase()}_`)).join('')}`;

/** The drawing in the main space, for commands and for those who draw wires on it. @type {LiveDrawing|null} */
let current = null;
export const currentDrawing = () => current;

export class LiveDrawing {
    /**
     * @param {HTMLElement} element
     * @param {Store} store
     * @param {() => string|null} sceneOf which scene to show
     */
    constructor(element, store, sceneOf) {
        this.store = store;
        this.sceneOf = sceneOf;
        this.host = h('div', { class: 'drawing' });
        element.append(this.host);
        this.drawing = new Drawing(this.host, {
            choose: (group, event) => this.choose(group, event),
            point: (group) => this.point(group),
        });
        const foot = h('div', { class: 'drawing-foot' });
        this.host.append(foot);
        this.meter = new MeterBox(foot, store);
        /** @type {Painter|null} */
        this.painter = null;
        /** @type {Map<string, Selection>} by the group's id */
        this.places = new Map();
        this.scene = '';
        this.text = '';
        /** @type {string[]} */
        this.brought = [];
        this.endBar = () => {};
        this.loading = 0;
        this.overlay = svg('g', { class: 'overlay' });
        foot.append(drawingBar(this, store));
        current = this;
        this.ends = [
            store.subscribe(['scenes', 'file', 'judged'], () => this.load()),
            store.subscribe(['reading'], () => this.paint()),
            store.subscribe(['selection', 'probe', 'settings'], () => this.mark()),
            store.subscribe(['shownPlaces'], () => this.bringPlaces()),
            store.subscribe(['settings'], ({ settings }) => this.host.classList.toggle('moving', settings.moving)),
        ];
    }

    end() {
        for (const end of this.ends) end();
        this.endBar();
        this.meter.end();
        this.drawing.end();
        if (current === this) current = null;
    }

    /** Fetches the scene when it is another one or the file has changed. */
    async load() {
        const { file, van, scenes, judged } = this.store.state;
        const id = this.sceneOf();
        const scene = scenes.find((s) => s.id === id);
        if (!file || !van || !scene) {
            this.host.classList.toggle('empty', file !== null && van === null);
            return;
        }
        // Sizes that the judgement chooses stand in the drawing.
        const wanted = `${scene.id} ${file.revision} ${judged?.pending === false ? judged.revision : ''}`;
        if (wanted === this.scene) return;
        const isOther = !this.scene.startsWith(`${scene.id} `);
        this.scene = wanted;
        const turn = ++this.loading;
        const text = await this.store.server.text(`/api/scene/${encodeURIComponent(scene.id)}`);
        if (turn !== this.loading || text === this.text) return;
        this.text = text;
        if (isOther) this.drawing.isFitted = true;
        this.drawing.show(text, scene.title);
        this.learn();
        this.paint();
        this.mark();
        this.bringPlaces();
    }

    /** Which group is which place, and which of them keys can reach. */
    learn() {
        const { van } = this.store.state;
        if (!van) return;
        const group = (/** @type {string} */ type, /** @type {string} */ name) => this.drawing.groups.get(groupId(type, name));
        this.painter = new Painter(this.drawing);
        this.painter.learn(van, group);
        this.places = new Map();
        const names = {
            wire: van.wires.map((wire) => wire.label),
            item: van.items.map((item) => item.id),
            terminal: van.items.flatMap((item) => item.terminals.map((terminal) => terminal.id)),
        };
        for (const type of TYPES) for (const id of names[type]) this.places.set(groupId(type, id), { type, id });
        const reachable = [];
        for (const [id, g] of this.drawing.groups) {
            const place = this.places.get(id);
            if (!place || place.type === 'wire') continue;
            reachable.push({ group: g, role: 'button', label: this.nameOf(place) });
        }
        this.drawing.makeReachable(reachable);
        this.drawing.svg?.append(this.overlay);
    }

    /** @param {Selection} place @returns {SVGGElement|undefined} */
    groupOf(place) {
        return this.drawing.groups.get(groupId(place.type, place.id));
    }

    /** @param {Selection} place */
    nameOf({ type, id }) {
        if (type !== 'item') return `${type} ${id}`;
        const item = this.store.item(id);
        const position = this.store.position(id);
        return `${item?.name || id}, ${item?.kind ?? ''}${position ? `, ${position}` : ''}`;
    }

    paint() {
        const { reading } = this.store.state;
        if (reading && this.painter) this.painter.show(reading);
    }

    /** Rings about what is chosen, and about what was asked to be shown; where the two tips of the meter are. */
    mark() {
        const { selection, probe, settings, reading, judged } = this.store.state;
        const places = selection?.type === 'finding'
            ? (judged?.judgement?.findings[Number(selection.id)]?.where ?? []).map(selectionOf)
            : [selection];
        this.overlay.replaceChildren(...places.flatMap((place) => {
            const group = place ? this.groupOf(place) : undefined;
            return group ? [ring(group)] : [];
        }));
        const against = settings.against ?? reading?.reference ?? null;
        this.markTip('black-tip', against);
        this.markTip('red-tip', probe.terminal);
    }

    /**
     * @param {'black-tip'|'red-tip'} name
     * @param {string|null} terminal
     */
    markTip(name, terminal) {
        const group = terminal ? this.groupOf({ type: 'terminal', id: terminal }) : undefined;
        for (const other of this.host.querySelectorAll(`.${name}`)) if (other !== group) other.classList.remove(name);
        group?.classList.add(name);
    }

    bringPlaces() {
        const { shownPlaces } = this.store.state;
        if (shownPlaces === this.brought || !this.drawing.svg) return;
        this.brought = shownPlaces;
        const groups = shownPlaces.flatMap((place) => {
            const selection = selectionOf(place);
            const group = selection ? this.groupOf(selection) : undefined;
            return group ? [group] : [];
        });
        this.drawing.bringIntoView(groups);
    }

    /**
     * @param {SVGGElement} group
     * @param {Event} event
     */
    choose(group, event) {
        const place = this.places.get(group.id);
        if (!place) return;
        this.store.select(place);
        if (place.type !== 'item') return;
        const stop = event.target instanceof Element ? event.target.closest('.stop') : null;
        const item = this.store.item(place.id);
        const at = item?.positions.find((word) => stop?.classList.contains(`stop-${word}`));
        if (at) this.store.setPosition(place.id, at);
        else if (item && !item.moved_by_coil) {
            if (item.dial || item.positions.length > 2) askPosition(this.store, item, group.getBoundingClientRect(), group);
            else stepPosition(this.store, item);
        }
    }

    /** @param {SVGGElement|null} group */
    point(group) {
        const place = group ? this.places.get(group.id) : undefined;
        if (!place || !group) return;
        if (place.type !== 'wire') group.setAttribute('aria-label', this.nameOf(place));
        this.meter.point(place);
    }
}

/**
 * A ring about a group: along a wire, around anything else.
 * @param {SVGGElement} group
 */
function ring(group) {
    const run = group.querySelector('path.run');
    if (run) return svg('path', { class: 'ring along', d: run.getAttribute('d') ?? '' });
    const { x, y, width, height } = group.getBBox();
    const pad = group.classList.contains('terminal') ? -0.8 : 1.5;
    return svg('rect', { class: 'ring', x: x - pad, y: y - pad, width: width + 2 * pad, height: height + 2 * pad, rx: 1.5 });
}

/**
 * @param {LiveDrawing} live
 * @param {Store} store
 */
function drawingBar(live, store) {
    const { drawing } = live;
    const button = (/** @type {string} */ words, /** @type {string} */ says, /** @type {() => void} */ run) =>
        h('button', { title: says, 'aria-label': says, onclick: run }, words);
    const moving = h('button', { class: 'wide', 'aria-pressed': 'false', title: 'Let the chevrons run with the current', onclick: () => store.setSettings({ moving: !store.state.settings.moving }) }, 'Flow');
    live.endBar = store.subscribe(['settings'], ({ settings }) => moving.setAttribute('aria-pressed', String(settings.moving)));
    return h('div', { class: 'drawing-bar', role: 'toolbar', 'aria-label': 'Drawing' },
        button('+', 'Enlarge', () => drawing.zoom(1.4)),
        button('−', 'Make smaller', () => drawing.zoom(1 / 1.4)),
        button('▢', 'Show the whole drawing', () => drawing.fit()),
        moving);
}

/* --- views --- */

addView({
    id: 'diagram',
    title: 'Diagram',
    key: '1',
    order: 10,
    mount: (element, store) => {
        const live = new LiveDrawing(element, store, () => 'diagram');
        return () => live.end();
    },
});

/** The panels, and after them what is on none. @param {Store} store */
const panelScenes = (store) => store.state.scenes.filter((scene) => scene.id !== 'diagram')
    .sort((a, b) => Number(!a.panel) - Number(!b.panel));

addView({
    id: 'panel',
    title: 'Panels',
    key: '2',
    order: 20,
    isThere: (store) => panelScenes(store).length > 0,
    mount: (element, store) => {
        let chosen = '';
        const tabs = h('div', { class: 'scene-tabs', role: 'group', 'aria-label': 'Which panel' });
        element.append(tabs);
        const scenes = () => panelScenes(store);
        const sceneOf = () => (scenes().find((scene) => scene.id === chosen) ?? scenes()[0])?.id ?? null;
        const live = new LiveDrawing(element, store, sceneOf);
        const end = store.subscribe(['scenes'], () => {
            tabs.replaceChildren(...scenes().map(({ id, title }) => h('button', {
                'aria-pressed': String(id === sceneOf()),
                onclick: (/** @type {Event} */ event) => {
                    chosen = id;
                    for (const tab of tabs.children) tab.setAttribute('aria-pressed', String(tab === event.currentTarget));
                    live.load();
                },
            }, title)));
        });
        return () => {
            end();
            live.end();
        };
    },
});

const hasDrawing = () => current !== null;

/* --- paper --- */

/** A landscape page within its margins, which A4 and US Letter both have. */
const PAGE_MM = { width: 255, height: 180 };

addEventListener('beforeprint', () => {
    if (!current) return;
    const { drawing, store } = current;
    const title = `${store.state.van?.name || store.state.file?.file}: ${drawing.viewport.getAttribute('aria-label')}`;
    const strips = drawing.strips(PAGE_MM.width, PAGE_MM.height);
    document.body.append(h('div', { id: 'printed' }, strips.map((strip, i) =>
        h('figure', {}, strip, h('figcaption', {}, strips.length > 1 ? `${title}, strip ${i + 1} of ${strips.length} from the left` : title,
            '. As the screen has it, with its switches; the sheets of the build book carry the cautions.')))));
});
addEventListener('afterprint', () => document.querySelector('#printed')?.remove());

addCommands(
    { id: 'enlarge', name: 'Enlarge', group: 'Drawing', keys: ['+', '='], isPossible: hasDrawing, run: () => current?.drawing.zoom(1.25) },
    { id: 'smaller', name: 'Make smaller', group: 'Drawing', keys: ['-'], isPossible: hasDrawing, run: () => current?.drawing.zoom(0.8) },
    { id: 'fit', name: 'Show the whole drawing', group: 'Drawing', keys: ['0'], isPossible: hasDrawing, run: () => current?.drawing.fit() },
    { id: 'print', name: 'Print the drawing', group: 'Drawing', keys: ['Ctrl+P'], isPossible: hasDrawing, run: () => print() },
    { id: 'copy-picture', name: 'Copy the drawing as a picture', group: 'Drawing', keys: ['Ctrl+Shift+C'], isPossible: hasDrawing, run: (store) => current && copyPicture(current.drawing, store) },
    { id: 'flow', name: 'Let the chevrons run, or stand', group: 'Drawing', isPossible: hasDrawing, run: (store) => store.setSettings({ moving: !store.state.settings.moving }) },
    { id: 'reset', name: 'Put every switch into its first position', group: 'Live', keys: ['Shift+0', 'X'], isPossible: (store) => store.state.van !== null, run: (store) => store.setPositions({}) },
);
