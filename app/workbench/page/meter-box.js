/* The meter in the corner of a drawing: its red tip is where the pointer or the focus is, its black tip where a person puts it.
 * It keeps the last place, so that it can be read after the hand has gone. */

import { h, setText } from './dom.js';
import { amps, volts } from './numbers.js';
import { itemWords } from './paint.js';

/** @typedef {import('./store.js').Store} Store */
/** @typedef {import('./types.js').Selection} Selection */

const WIRE_WORDS = { carries: 'carries current', live: 'live, no current', dead: 'dead', floats: 'not connected to the reference' };
const QUIET_MS = 400;

export class MeterBox {
    /**
     * @param {HTMLElement} host
     * @param {Store} store
     */
    constructor(host, store) {
        this.store = store;
        /** @type {Selection|null} */
        this.place = null;
        this.what = h('span', { class: 'what' }, 'Point at a terminal');
        this.value = h('output', { class: 'value' }, '');
        this.more = h('span', { class: 'more' });
        this.against = h('span', { class: 'against-name' });
        this.move = h('button', { class: 'tip', onclick: () => this.putBlackTip() }, 'Measure against this');
        this.back = h('button', { class: 'tip', onclick: () => store.setSettings({ against: null }) }, 'Back to the battery');
        this.spoken = h('span', { class: 'unseen', 'aria-live': 'polite' });
        this.box = h('div', { class: 'meter-box', role: 'group', 'aria-label': 'Meter' },
            h('span', { class: 'tips' }, this.what, this.value, this.more),
            h('span', { class: 'tips' }, h('span', { class: 'black' }, 'against ', this.against), this.move, this.back), this.spoken);
        host.append(this.box);
        this.endReading = store.subscribe(['reading', 'settings', 'van', 'refused'], () => this.show());
    }

    end() {
        clearTimeout(this.timer);
        this.endReading();
    }

    /** @param {Selection} place */
    point(place) {
        this.place = place;
        this.store.set({ probe: { terminal: place.type === 'terminal' ? place.id : null } });
        this.show();
    }

    putBlackTip() {
        if (this.place?.type === 'terminal') this.store.setSettings({ against: this.place.id });
    }

    show() {
        const { reading, settings, refused } = this.store.state;
        const { place } = this;
        setText(this.against, reading?.reference ?? 'nothing');
        this.move.hidden = place?.type !== 'terminal' || place.id === reading?.reference;
        this.back.hidden = settings.against === null;
        if (refused || reading?.trouble) {
            setText(this.what, refused ?? reading?.trouble ?? '');
            setText(this.value, '');
            setText(this.more, '');
            return;
        }
        if (!place || !reading) return;
        const { value, more } = placeReading(place, reading);
        setText(this.what, place.type === 'item' ? this.store.item(place.id)?.name || place.id : place.id);
        setText(this.value, value);
        setText(this.more, more);
        this.speak(`${this.what.textContent} ${value} ${more}`);
    }

    /**
     * Says what holds still for a moment, and nothing of what goes by.
     * @param {string} words
     */
    speak(words) {
        clearTimeout(this.timer);
        this.timer = setTimeout(() => setText(this.spoken, words), QUIET_MS);
    }
}

/**
 * @param {Selection} place
 * @param {import('./types.js').Reading} reading
 */
function placeReading({ type, id }, reading) {
    if (type === 'terminal') {
        const value = reading.volts[id] ?? null;
        return { value: volts(value), more: value === null ? 'not connected to the reference' : '' };
    }
    if (type === 'wire') return { value: amps(reading.amps[id]), more: WIRE_WORDS[reading.wires?.[id] ?? 'floats'] };
    return { value: '', more: itemWords(reading.items[id] ?? {}) };
}
