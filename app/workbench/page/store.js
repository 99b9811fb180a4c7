/* The one state of the page, and the only way to change it. Parts subscribe to the keys that they show; all that changes in
 * one turn is told once. What the file holds comes from the program; positions and settings live here alone. */

import { plightOf } from './plight.js';
import { Refusal } from './server.js';

/** @typedef {import('./types.js').Selection} Selection */
/** @typedef {import('./types.js').Edit} Edit */
/** @typedef {import('./types.js').Outcome} Outcome */
/** @typedef {import('./types.js').Positions} Positions */

/**
 * How the van is measured, and how it is shown. Kept between sittings, except `against`.
 * @typedef {object} Settings
 * @property {string} ambient of all conductors, "20 degC"
 * @property {string} charge of the batteries, "80 %"
 * @property {string|null} against terminal that voltages are measured against; null: the battery's negative post
 * @property {'system'|'light'|'dark'} theme
 * @property {boolean} moving whether chevrons move
 * @property {boolean} hints whether keys are shown beside what they do
 */

/**
 * An edit that met another hand's change; both.js asks which of the two holds.
 * @typedef {{says: string, edits: Edit[], error: string, places: import('./types.js').ConflictPlace[]}} Conflict
 */

/**
 * @typedef {object} State
 * @property {'starting'|'there'|'gone'} connection
 * @property {import('./types.js').FileState|null} file
 * @property {import('./types.js').Van|null} van
 * @property {import('./types.js').Kinds|null} kinds
 * @property {import('./types.js').JudgementState|null} judged
 * @property {import('./types.js').Reading|null} reading the last one that was given
 * @property {string|null} refused why the meter gave none
 * @property {import('./types.js').SceneInfo[]} scenes
 * @property {Positions} positions only what stands elsewhere than in its first position
 * @property {Settings} settings
 * @property {Selection|null} selection
 * @property {string} view id of the view in the main space
 * @property {Conflict|null} conflict
 * @property {{words: string, isWrong: boolean, action?: {words: string, run: () => void}}|null} notice
 * @property {string[]} shownPlaces "wire P3", "item pump": what the drawing is asked to bring into view; a new list asks anew
 * @property {{terminal: string|null}} probe terminal under the pointer or the keyboard: where the meter's tip is
 */

/** @typedef {keyof State} Key */

/** @type {Settings} */
const DEFAULTS = { ambient: '20 degC', charge: '80 %', against: null, theme: 'system', moving: false, hints: true };
const KEPT_SETTINGS = 'loomwall.settings';
const KEPT_POSITIONS = 'loomwall.positions';

/**
 * @param {Storage} storage
 * @param {string} key
 */
function kept(storage, key) {
    try {
        return JSON.parse(storage.getItem(key) ?? '{}');
    } catch {
        return {};
    }
}

export class Store {
    /** @param {import('./server.js').Server} server */
    constructor(server) {
        this.server = server;
        /** @type {State} */
        this.state = {
            connection: 'starting',
            file: null,
            van: null,
            kinds: null,
            judged: null,
            reading: null,
            refused: null,
            scenes: [],
            positions: kept(sessionStorage, KEPT_POSITIONS),
            settings: { ...DEFAULTS, ...kept(localStorage, KEPT_SETTINGS), against: null },
            selection: null,
            view: 'diagram',
            conflict: null,
            notice: null,
            shownPlaces: [],
            probe: { terminal: null },
        };
        /** @type {Set<{keys: Key[], tell: (state: State) => void}>} */
        this.subscribers = new Set();
        /** @type {Set<Key>} */
        this.changed = new Set();
        /** @type {Promise<void>|null} */
        this.measuring = null;
        this.isMeasureWanted = false;
        /** @type {Positions} the last ones that the meter accepted */
        this.accepted = {};
        /** @type {Set<number>} revisions that this page made */
        this.own = new Set();
        /** The revision whose drawings and judgement were asked for; with the program gone they are asked for again. */
        this.followed = 0;
        /** @type {Promise<unknown>} edits follow each other */
        this.queue = Promise.resolve();
    }

    /* --- telling --- */

    /**
     * Calls `tell` now, and again in the turn after any of the keys changed.
     * @param {Key[]} keys
     * @param {(state: State) => void} tell
     * @returns {() => void} ends it
     */
    subscribe(keys, tell) {
        const subscriber = { keys, tell };
        this.subscribers.add(subscriber);
        tell(this.state);
        return () => this.subscribers.delete(subscriber);
    }

    /** @param {Partial<State>} changes */
    set(changes) {
        Object.assign(this.state, changes);
        if (this.changed.size === 0) queueMicrotask(() => this.tell());
        for (const key of Object.keys(changes)) this.changed.add(/** @type {Key} */ (key));
    }

    tell() {
        const changed = this.changed;
        this.changed = new Set();
        for (const subscriber of [...this.subscribers]) {
            if (this.subscribers.has(subscriber) && subscriber.keys.some((key) => changed.has(key))) {
                subscriber.tell(this.state);
            }
        }
    }

    /* --- what is there --- */

    /** @param {string} id */
    item(id) {
        return this.state.van?.items.find((item) => item.id === id) ?? null;
    }

    /** @param {string} label */
    wire(label) {
        return this.state.van?.wires.find((wire) => wire.label === label) ?? null;
    }

    /**
     * @param {string} name
     * @returns {import('./types.js').Terminal|null}
     */
    terminal(name) {
        const item = this.item(name.slice(0, name.indexOf('.')));
        return item?.terminals.find((terminal) => terminal.id === name) ?? null;
    }

    /** @param {string} kind */
    kind(kind) {
        return this.state.kinds?.kinds.find((k) => k.kind === kind) ?? null;
    }

    /**
     * Where an item stands.
     * @param {string} id
     * @returns {string|null}
     */
    position(id) {
        const set = this.state.positions[id];
        if (set !== undefined) return set;
        return this.state.reading?.items[id]?.position ?? this.item(id)?.positions[0] ?? null;
    }

    /* --- what a person does --- */

    /**
     * @param {Selection|null} selection
     */
    select(selection) {
        const now = this.state.selection;
        if (now?.type === selection?.type && now?.id === selection?.id) return;
        this.set({ selection });
    }

    /** @param {string} view */
    show(view) {
        if (view !== this.state.view) this.set({ view });
    }

    /**
     * Puts an item into a position ("on", "40%").
     * @param {string} item
     * @param {string} word
     */
    setPosition(item, word) {
        this.setPositions({ ...this.state.positions, [item]: word });
    }

    /** @param {Positions} positions those not named stand in their first position */
    setPositions(positions) {
        sessionStorage.setItem(KEPT_POSITIONS, JSON.stringify(positions));
        this.set({ positions });
        this.measure();
    }

    /** @param {Partial<Settings>} some */
    setSettings(some) {
        const settings = { ...this.state.settings, ...some };
        localStorage.setItem(KEPT_SETTINGS, JSON.stringify(settings));
        this.set({ settings });
        if ('ambient' in some || 'charge' in some || 'against' in some) this.measure();
    }

    /**
     * Tells the person something in passing; in the page's live region too.
     * @param {string} words
     * @param {{isWrong?: boolean, action?: {words: string, run: () => void}}} [how]
     */
    say(words, how = {}) {
        this.set({ notice: { words, isWrong: how.isWrong ?? false, action: how.action } });
    }

    /* --- measuring --- */

    /** Asks the meter; while it answers, the newest question waits and older ones are dropped. */
    measure() {
        if (this.measuring) {
            this.isMeasureWanted = true;
            return this.measuring;
        }
        if (!this.state.van) return Promise.resolve();
        this.measuring = this.askMeter().finally(() => {
            this.measuring = null;
            if (this.isMeasureWanted) {
                this.isMeasureWanted = false;
                this.measure();
            }
        });
        return this.measuring;
    }

    async askMeter() {
        const { positions, settings } = this.state;
        const { ambient, charge, against } = settings;
        try {
            const reading = await this.server.post('/api/meter', { positions, ambient, charge, against });
            this.accepted = positions;
            this.set({ reading, refused: null });
        } catch (problem) {
            if (!(problem instanceof Refusal)) throw problem;
            this.afterRefusal(problem, positions);
        }
    }

    /**
     * Positions that exclude each other: what was moved goes back to where it stood.
     * @param {Refusal} refusal
     * @param {Positions} positions
     */
    afterRefusal(refusal, positions) {
        if (refusal.status === 0) return;
        const isFromMove = positions === this.state.positions && positions !== this.accepted;
        if (isFromMove && this.state.reading) {
            sessionStorage.setItem(KEPT_POSITIONS, JSON.stringify(this.accepted));
            this.set({ positions: this.accepted });
            this.say(refusal.message, { isWrong: true });
        } else {
            this.set({ refused: refusal.message });
        }
    }

    /* --- the file --- */

    /** Fetches what the file now holds, and first of all what the meter reads: that is what a hand waits for. The drawings and
     * the judgement follow; nobody waits for them. */
    async refresh() {
        const [{ van, ...file }] = await Promise.all([this.server.get('/api/van'), this.measure()]);
        if (this.state.file && file.revision < this.state.file.revision) return;
        this.set({ file, ...(van || !file.has_file ? { van } : {}) });
        if (file.revision === this.followed) return;
        this.followed = file.revision;
        this.forgetWhatIsGone();
        if (this.state.reading?.revision !== file.revision) this.measure();
        Promise.all([this.refreshScenes(), this.refreshJudgement()]).catch((problem) => {
            if (!(problem instanceof Refusal) || problem.status !== 0) throw problem;
            this.followed = 0;
        });
    }

    async refreshScenes() {
        const { scenes } = { scenes: this.state.van ? await this.server.get('/api/scenes') : [] };
        this.set({ scenes });
    }

    async refreshJudgement() {
        this.set({ judged: await this.server.get('/api/judgement') });
    }

    /** Positions of items that the van no longer has, and a choice of what is no longer there. */
    forgetWhatIsGone() {
        const { positions, selection } = this.state;
        const left = Object.entries(positions).filter(([id]) => this.item(id));
        if (left.length !== Object.keys(positions).length) this.set({ positions: Object.fromEntries(left) });
        const is_there = {
            item: (/** @type {string} */ id) => this.item(id),
            wire: (/** @type {string} */ id) => this.wire(id),
            terminal: (/** @type {string} */ id) => this.terminal(id),
            finding: () => null,
        };
        if (selection && !is_there[selection.type](selection.id)) this.select(null);
    }

    /**
     * @param {string} event
     * @param {{revision?: number}} data
     */
    hear(event, data) {
        if (event === 'file') this.refresh();
        if (event === 'judged') this.refreshJudgement();
    }

    /* --- editing: each tells what became of it; what went wrong is not said here --- */

    /**
     * @param {string} says what is done, in words: "make P3 10 AWG"
     * @param {Edit[]} edits
     * @param {number} [revision] the one that the hand saw when it began; else the present one
     * @returns {Promise<Outcome>}
     */
    edit(says, edits, revision) {
        return this.change('/api/edit', { says, edits, dry: false, ...(revision && { revision }) }, { says, edits });
    }

    /**
     * Whether the van would be readable with these edits; changes nothing.
     * @param {string} says
     * @param {Edit[]} edits
     * @param {number} [revision]
     * @returns {Promise<Outcome>}
     */
    ask(says, edits, revision) {
        return this.send('/api/edit', { says, edits, dry: true, ...(revision && { revision }) });
    }

    /** @returns {Promise<Outcome>} */
    undo() {
        return this.change('/api/undo', {});
    }

    /** @returns {Promise<Outcome>} */
    redo() {
        return this.change('/api/redo', {});
    }

    /**
     * @param {number} finding its number in the judgement
     * @param {number} mend
     * @returns {Promise<Outcome>}
     */
    mend(finding, mend) {
        return this.change('/api/mend', { finding, mend });
    }

    /**
     * Sends a change after those before it, and takes in what the file then holds.
     * @param {string} path
     * @param {{[key: string]: unknown}} body
     * @param {{says: string, edits: Edit[]}} [edit] offered again when another hand was at the same place
     * @returns {Promise<Outcome>}
     */
    change(path, body, edit) {
        if (plightOf(this.state) === 'gone') {
            const error = `${this.state.file?.file} is gone from its folder; write it again first, at the top of the page`;
            return Promise.resolve({ ok: false, status: 0, error });
        }
        const sent = this.queue.then(() => this.send(path, body));
        this.queue = sent.then((outcome) => {
            if (!outcome.ok) return undefined;
            this.own.add(outcome.revision);
            return this.refresh();
        }).catch(() => undefined);
        return sent.then(async (outcome) => {
            await this.queue;
            if (!outcome.ok && outcome.status === 409 && edit) {
                this.set({ conflict: { ...edit, error: outcome.error, places: outcome.conflict ?? [] } });
            }
            return outcome;
        });
    }

    /**
     * @param {string} path
     * @param {{[key: string]: unknown}} body
     * @returns {Promise<Outcome>}
     */
    async send(path, body) {
        try {
            const answer = await this.server.post(path, { revision: this.state.file?.revision ?? 0, ...body });
            return { ok: true, ...answer };
        } catch (problem) {
            if (!(problem instanceof Refusal)) throw problem;
            const { status, body: said } = problem;
            return { ok: false, status, error: problem.message, faults: said.faults, conflict: said.conflict };
        }
    }
}
