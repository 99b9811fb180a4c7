/* One drawing of the program in a space: parsed, placed, moved and enlarged by hand, wheel, fingers and keys, with one element
 * at a time in the order of focus. It knows groups with ids and classes, and nothing of what they mean. */

import { h, svg as makeSvg } from './dom.js';

const LEAST_SCALE = 0.2; /* of the one that fits */
const MOST_SCALE = 24;
const KEY_ZOOM = 1.25;
const KEY_PAN_PX = 80;
const CLICK_SLOP_PX = 5;
const MARGIN_PX = 12;
/** px a mm: text of 2.5 mm can just be read, and is read well. */
const LEAST_READABLE = 2;
const READABLE = 4.5;
/** What the edge of a printed strip cuts through is whole on the next one. */
const STRIP_OVERLAP_MM = 40;

/** @typedef {{x: number, y: number}} Point */
/** @typedef {{x: number, y: number, width: number, height: number}} Box */

export class Drawing {
    /**
     * @param {HTMLElement} host filled with the drawing
     * @param {{choose: (group: SVGGElement, event: Event) => void, point: (group: SVGGElement|null) => void}} told
     *     what is clicked or keyed, and what the pointer or the focus is on
     */
    constructor(host, told) {
        this.host = host;
        this.told = told;
        this.paper = h('div', { class: 'paper' });
        this.viewport = h('div', { class: 'viewport', tabindex: 0, role: 'group' }, this.paper);
        host.append(this.viewport);
        /** @type {SVGSVGElement|null} */
        this.svg = null;
        /** @type {Map<string, SVGGElement>} */
        this.groups = new Map();
        /** @type {CSSStyleSheet|null} */
        this.sheet = null;
        this.styleText = '';
        this.size = { width: 1, height: 1 };
        this.at = { x: 0, y: 0, scale: 0 };
        /** Scale at which the whole is seen. */
        this.fitted = 1;
        this.isFitted = true;
        /** @type {Map<number, Point>} */
        this.fingers = new Map();
        /** @type {Map<SVGGElement, Point>|null} */
        this.centers = null;
        this.hasMoved = false;
        /** @type {SVGGElement[]} */
        this.reachable = [];
        this.observer = new ResizeObserver(() => {
            if (this.isFitted) this.settle();
        });
        this.observer.observe(this.viewport);
        this.listen();
    }

    end() {
        this.observer.disconnect();
        document.adoptedStyleSheets = document.adoptedStyleSheets.filter((sheet) => sheet !== this.sheet);
    }

    /* --- showing --- */

    /**
     * @param {string} text an SVG document
     * @param {string} title
     */
    show(text, title) {
        let style = '';
        const bare = text.replace(/<style>([^]*?)<\/style>/g, (_, inner) => {
            style += inner;
            return '';
        });
        const parsed = new DOMParser().parseFromString(bare, 'image/svg+xml').documentElement;
        if (!(parsed instanceof SVGSVGElement)) throw new Error('the program sent no drawing');
        this.adoptStyle(style);
        parsed.setAttribute('aria-label', title);
        parsed.querySelector(':scope > title')?.remove();
        const { width, height } = parsed.viewBox.baseVal;
        this.size = { width, height };
        parsed.setAttribute('width', String(width));
        parsed.setAttribute('height', String(height));
        parsed.setAttribute('overflow', 'visible');
        const svg = document.importNode(parsed, true);
        this.svg = svg;
        this.groups = new Map([...svg.querySelectorAll('g[id]')].map((group) => [group.id, /** @type {SVGGElement} */ (group)]));
        this.centers = null;
        this.viewport.setAttribute('aria-label', title);
        const focused = document.activeElement instanceof SVGGElement && this.paper.contains(document.activeElement) ? document.activeElement.id : null;
        this.paper.replaceChildren(svg);
        if (this.isFitted || this.at.scale === 0) this.settle();
        else this.place();
        if (focused) this.groups.get(focused)?.focus({ preventScroll: true });
    }

    /**
     * Brings the style of a scene to the page, which allows none within.
     * @param {string} text
     */
    adoptStyle(text) {
        if (text === this.styleText) return;
        this.styleText = text;
        const sheet = new CSSStyleSheet();
        sheet.replaceSync(text);
        document.adoptedStyleSheets = [...document.adoptedStyleSheets.filter((other) => other !== this.sheet), sheet];
        this.sheet = sheet;
    }

    /* --- placing --- */

    place() {
        const { x, y, scale } = this.at;
        this.paper.style.transform = `translate(${x}px, ${y}px) scale(${scale})`;
    }

    fit() {
        const { clientWidth, clientHeight } = this.viewport;
        if (!clientWidth || !clientHeight) return;
        this.fitted = Math.min((clientWidth - 2 * MARGIN_PX) / this.size.width, (clientHeight - 2 * MARGIN_PX) / this.size.height);
        const scale = this.fitted;
        this.at = { scale, x: (clientWidth - this.size.width * scale) / 2, y: (clientHeight - this.size.height * scale) / 2 };
        this.isFitted = true;
        this.place();
    }

    /** As it first stands: whole, or as high as the space from the left where the whole would be too small to read. */
    settle() {
        this.fit();
        const high = (this.viewport.clientHeight - 2 * MARGIN_PX) / this.size.height;
        const scale = Math.min(Math.max(high, LEAST_READABLE), READABLE);
        if (this.fitted >= scale || this.viewport.clientHeight === 0) return;
        this.at = { scale, x: MARGIN_PX, y: Math.max(MARGIN_PX, (this.viewport.clientHeight - this.size.height * scale) / 2) };
        this.place();
    }

    /**
     * @param {number} factor
     * @param {Point} [about] in the viewport; else its middle
     */
    zoom(factor, about = { x: this.viewport.clientWidth / 2, y: this.viewport.clientHeight / 2 }) {
        const scale = Math.min(Math.max(this.at.scale * factor, this.fitted * LEAST_SCALE), MOST_SCALE);
        const real = scale / this.at.scale;
        this.at = { scale, x: about.x - (about.x - this.at.x) * real, y: about.y - (about.y - this.at.y) * real };
        this.isFitted = false;
        this.place();
    }

    /**
     * @param {number} dx_px
     * @param {number} dy_px
     */
    pan(dx_px, dy_px) {
        this.at = { ...this.at, x: this.at.x + dx_px, y: this.at.y + dy_px };
        this.isFitted = false;
        this.place();
    }

    /**
     * Where a point of the screen lies on the drawing.
     * @param {number} client_x
     * @param {number} client_y
     * @returns {Point}
     */
    toScene(client_x, client_y) {
        const box = this.viewport.getBoundingClientRect();
        return { x: (client_x - box.left - this.at.x) / this.at.scale, y: (client_y - box.top - this.at.y) / this.at.scale };
    }

    /**
     * Moves, and enlarges what is too small to read, so that all of the groups are in sight.
     * @param {SVGGElement[]} groups
     */
    bringIntoView(groups) {
        // What is too long to be read whole, as the run of a wire, is shown where its words stand.
        const candidates = [groups.map((group) => group.getBBox()), groups.map(wordsBox), groups.slice(0, 1).map(wordsBox)].map(joined);
        const { clientWidth, clientHeight } = this.viewport;
        const fit = (/** @type {Box} */ { width, height }) => Math.min((clientWidth - 80) / Math.max(width, 1), (clientHeight - 80) / Math.max(height, 1));
        const box = candidates.find((one) => one && fit(one) >= LEAST_READABLE) ?? candidates[2];
        if (!box) return;
        const scale = Math.min(Math.max(this.at.scale, READABLE), Math.max(fit(box), this.fitted, LEAST_READABLE));
        this.at = {
            scale,
            x: clientWidth / 2 - (box.x + box.width / 2) * scale,
            y: clientHeight / 2 - (box.y + box.height / 2) * scale,
        };
        this.isFitted = false;
        this.place();
    }

    /** @param {SVGGElement} group */
    isInView(group) {
        const box = group.getBoundingClientRect();
        const view = this.viewport.getBoundingClientRect();
        return box.left >= view.left && box.right <= view.right && box.top >= view.top && box.bottom <= view.bottom;
    }

    /* --- focus --- */

    /**
     * Groups that keys can reach, in the drawing's order; the first is where Tab goes.
     * @param {{group: SVGGElement, role: string, label: string}[]} reachable
     */
    makeReachable(reachable) {
        this.centers = null;
        this.reachable = reachable.map(({ group }) => group);
        reachable.forEach(({ group, role, label }, i) => {
            group.setAttribute('tabindex', i === 0 ? '0' : '-1');
            group.setAttribute('role', role);
            group.setAttribute('aria-label', label);
        });
    }

    /** @param {SVGGElement} group */
    focus(group) {
        for (const other of this.svg?.querySelectorAll('g[tabindex="0"]') ?? []) other.setAttribute('tabindex', '-1');
        group.setAttribute('tabindex', '0');
        group.focus({ preventScroll: true });
        if (!this.isInView(group)) this.centre(group);
    }

    /** @param {SVGGElement} group */
    centre(group) {
        const box = group.getBBox();
        const { clientWidth, clientHeight } = this.viewport;
        this.at.x = clientWidth / 2 - (box.x + box.width / 2) * this.at.scale;
        this.at.y = clientHeight / 2 - (box.y + box.height / 2) * this.at.scale;
        this.isFitted = false;
        this.place();
    }

    /**
     * The nearest reachable group to one side.
     * @param {SVGGElement} from
     * @param {Point} way
     */
    neighbour(from, way) {
        this.centers ??= new Map(this.reachable.map((group) => [group, middle(group)]));
        const here = this.centers.get(from);
        if (!here) return null;
        let best = null;
        let least = Infinity;
        for (const [group, there] of this.centers) {
            const dx = there.x - here.x;
            const dy = there.y - here.y;
            const along = dx * way.x + dy * way.y;
            const across = Math.abs(dx * way.y) + Math.abs(dy * way.x);
            const cost = along + 3 * across;
            if (group !== from && along > 0.5 && cost < least) {
                least = cost;
                best = group;
            }
        }
        return best;
    }

    /* --- hands --- */

    listen() {
        const { viewport } = this;
        viewport.addEventListener('wheel', (event) => this.onWheel(event), { passive: false });
        viewport.addEventListener('pointerdown', (event) => this.onDown(event));
        viewport.addEventListener('pointermove', (event) => this.onMove(event));
        for (const name of /** @type {const} */ (['pointerup', 'pointercancel'])) {
            viewport.addEventListener(name, (event) => this.fingers.delete(event.pointerId));
        }
        viewport.addEventListener('click', (event) => {
            const group = groupAt(event.target);
            if (group && !this.hasMoved) this.told.choose(group, event);
        });
        viewport.addEventListener('pointerover', (event) => this.told.point(groupAt(event.target)));
        viewport.addEventListener('pointerleave', () => this.told.point(null));
        viewport.addEventListener('focusin', (event) => this.told.point(groupAt(event.target)));
        viewport.addEventListener('keydown', (event) => this.onKey(event));
    }

    /** @param {WheelEvent} event */
    onWheel(event) {
        event.preventDefault();
        const line_px = event.deltaMode === 1 ? 20 : 1;
        if (event.shiftKey || Math.abs(event.deltaX) > Math.abs(event.deltaY)) {
            this.pan(-(event.deltaX || event.deltaY) * line_px, 0);
            return;
        }
        const box = this.viewport.getBoundingClientRect();
        const speed = event.ctrlKey ? 0.01 : 0.0018;
        this.zoom(Math.exp(-event.deltaY * line_px * speed), { x: event.clientX - box.left, y: event.clientY - box.top });
    }

    /** @param {PointerEvent} event */
    onDown(event) {
        this.hasMoved = false;
        if (event.button !== 0) return;
        this.fingers.set(event.pointerId, { x: event.clientX, y: event.clientY });
        this.pressedAt = { x: event.clientX, y: event.clientY };
    }

    /** @param {PointerEvent} event */
    onMove(event) {
        const before = this.fingers.get(event.pointerId);
        if (!before || event.buttons === 0) {
            this.fingers.delete(event.pointerId);
            return;
        }
        const now = { x: event.clientX, y: event.clientY };
        const { pressedAt } = this;
        if (!this.hasMoved && pressedAt && Math.hypot(now.x - pressedAt.x, now.y - pressedAt.y) < CLICK_SLOP_PX) return;
        // A wire being drawn belongs to whoever took it up.
        if (this.host.classList.contains('connecting')) return;
        if (!this.hasMoved) this.viewport.setPointerCapture(event.pointerId);
        this.hasMoved = true;
        const other = [...this.fingers].find(([id]) => id !== event.pointerId)?.[1];
        if (other) this.pinch(before, now, other);
        else this.pan(now.x - before.x, now.y - before.y);
        this.fingers.set(event.pointerId, now);
    }

    /**
     * @param {Point} before
     * @param {Point} now
     * @param {Point} other
     */
    pinch(before, now, other) {
        const box = this.viewport.getBoundingClientRect();
        const wide = Math.hypot(now.x - other.x, now.y - other.y);
        const narrow = Math.hypot(before.x - other.x, before.y - other.y) || 1;
        this.pan((now.x - before.x) / 2, (now.y - before.y) / 2);
        this.zoom(wide / narrow, { x: (now.x + other.x) / 2 - box.left, y: (now.y + other.y) / 2 - box.top });
    }

    /** @param {KeyboardEvent} event */
    onKey(event) {
        if (event.ctrlKey || event.metaKey || event.altKey) return;
        const group = groupAt(event.target);
        if (group && (event.key === 'Enter' || event.key === ' ')) {
            event.preventDefault();
            this.told.choose(group, event);
            return;
        }
        const ways = /** @type {{[key: string]: Point}} */ ({
            ArrowLeft: { x: -1, y: 0 }, ArrowRight: { x: 1, y: 0 }, ArrowUp: { x: 0, y: -1 }, ArrowDown: { x: 0, y: 1 },
        });
        const way = ways[event.key];
        if (way) {
            event.preventDefault();
            const next = group && !event.shiftKey ? this.neighbour(group, way) : null;
            if (next) this.focus(next);
            else if (!group || event.shiftKey) this.pan(-way.x * KEY_PAN_PX, -way.y * KEY_PAN_PX);
        } else if (event.key === '+' || event.key === '=') {
            event.preventDefault();
            this.zoom(KEY_ZOOM, this.focusPoint(group));
        } else if (event.key === '-') {
            event.preventDefault();
            this.zoom(1 / KEY_ZOOM, this.focusPoint(group));
        } else if (event.key === '0') {
            event.preventDefault();
            this.fit();
        }
    }

    /**
     * Where to enlarge about: what has the focus, else the middle.
     * @param {SVGGElement|null} group
     */
    focusPoint(group) {
        if (!group) return undefined;
        const { x, y } = middle(group);
        return { x: x * this.at.scale + this.at.x, y: y * this.at.scale + this.at.y };
    }

    /* --- giving away --- */

    /**
     * The drawing as it stands, in strips from left to right that fill pages of a size: as large as its height allows.
     * @param {number} page_width_mm
     * @param {number} page_height_mm
     * @returns {SVGSVGElement[]}
     */
    strips(page_width_mm, page_height_mm) {
        const { svg } = this;
        if (!svg) return [];
        const { width, height } = this.size;
        const scale = Math.min(page_height_mm / height, 1);
        const wide = Math.min(page_width_mm / scale, width);
        const n = 1 + Math.ceil(Math.max(0, width - wide) / (wide - STRIP_OVERLAP_MM));
        const step = n > 1 ? (width - wide) / (n - 1) : 0;
        return Array.from({ length: n }, (_, i) => {
            const strip = /** @type {SVGSVGElement} */ (svg.cloneNode(true));
            for (const group of strip.querySelectorAll('g[id]')) group.removeAttribute('id');
            strip.setAttribute('viewBox', `${i * step} 0 ${wide} ${height}`);
            strip.setAttribute('width', `${wide * scale}mm`);
            strip.setAttribute('height', `${height * scale}mm`);
            strip.setAttribute('overflow', 'hidden');
            return strip;
        });
    }

    /** The drawing as it stands, on white, as a document of its own. @returns {SVGSVGElement} */
    copyForPaper() {
        const copy = /** @type {SVGSVGElement} */ (this.svg?.cloneNode(true) ?? makeSvg('svg', {}));
        const live = [...document.styleSheets].flatMap((sheet) => [...sheet.cssRules]).map((rule) => rule.cssText);
        const rules = [this.styleText, ...live.filter((text) => text.startsWith('.sheet'))];
        const style = makeSvg('style', {});
        style.textContent = rules.join('\n');
        copy.prepend(style);
        return copy;
    }
}

/**
 * The group that an event is about: a terminal before the item that it belongs to.
 * @param {EventTarget|null} target
 * @returns {SVGGElement|null}
 */
function groupAt(target) {
    if (!(target instanceof Element)) return null;
    const group = target.closest('g.terminal, g.item, g.wire');
    return group instanceof SVGGElement ? group : null;
}

/** @param {SVGGElement} group @returns {Point} */
function middle(group) {
    const box = group.getBBox();
    return { x: box.x + box.width / 2, y: box.y + box.height / 2 };
}

/** @param {SVGGElement} group @returns {Box} */
function wordsBox(group) {
    const words = group.querySelector('text');
    return (words ?? group).getBBox();
}

/** @param {Box[]} boxes @returns {Box|null} */
function joined(boxes) {
    if (boxes.length === 0) return null;
    const x = Math.min(...boxes.map((box) => box.x));
    const y = Math.min(...boxes.map((box) => box.y));
    const right = Math.max(...boxes.map((box) => box.x + box.width));
    const bottom = Math.max(...boxes.map((box) => box.y + box.height));
    return { x, y, width: right - x, height: bottom - y };
}
