/* What stands around every view: the van's name, the gates, the tools, the views to choose from, the words about the chosen
 * thing, the findings below, and notices. */

import { find, h, isNarrow, setText } from './dom.js';
import { isForPage, isTyping, keyName } from './keys.js';
import { commandsPossible, sectionsAbout, viewsThere } from './views.js';
import { mountFindings } from './findings.js';
import { mountGates } from './gates.js';
import { mountPlight } from './plight.js';

/** @typedef {import('./store.js').Store} Store */

/** @param {Store} store */
export function mountShell(store) {
    mountTheme(store);
    mountName(store);
    mountGates(find('#gates', HTMLElement), store);
    mountViews(store);
    mountAbout(find('#about', HTMLElement), store);
    mountFindings(find('#below', HTMLElement), store);
    mountNotice(store);
    mountLost(store);
    mountPlight(store);
    mountKeys(store);
}

/** @param {Store} store */
function mountTheme(store) {
    const system = matchMedia('(prefers-color-scheme: dark)');
    const show = () => {
        const { theme } = store.state.settings;
        document.documentElement.dataset.theme = theme === 'system' ? (system.matches ? 'dark' : 'light') : theme;
    };
    system.addEventListener('change', show);
    store.subscribe(['settings'], show);
}

/** @param {Store} store */
function mountName(store) {
    const name = find('#van-name', HTMLElement);
    store.subscribe(['van', 'file'], ({ van, file }) => {
        const words = van?.name || file?.file || 'Loomwall';
        name.replaceChildren(h('span', { class: 'name' }, words), h('small', { title: file?.folder }, file?.has_file ? file.file : ''));
        document.title = van ? `${words} · Loomwall` : 'Loomwall';
    });
}

/** @param {Store} store */
function mountViews(store) {
    const nav = find('#views', HTMLElement);
    const space = find('#space', HTMLElement);
    let shown = '';
    let unmount = () => {};

    const showView = () => {
        const views = viewsThere(store);
        const view = views.find((v) => v.id === store.state.view) ?? views[0];
        for (const button of nav.querySelectorAll('button')) {
            button.setAttribute('aria-current', button.dataset.view === view?.id ? 'page' : 'false');
        }
        if (!view || view.id === shown) return;
        unmount();
        shown = view.id;
        space.replaceChildren();
        space.dataset.view = view.id;
        space.setAttribute('aria-label', view.title);
        unmount = view.mount(space, store);
    };
    const listViews = () => {
        const views = viewsThere(store);
        const ids = views.map((view) => view.id).join();
        if (nav.dataset.ids !== ids) {
            nav.dataset.ids = ids;
            nav.replaceChildren(
                ...views.map((view) =>
                    h('button', { 'data-view': view.id, 'aria-keyshortcuts': view.key, onclick: () => store.show(view.id) },
                        h('span', {}, view.title), h('kbd', { 'aria-hidden': 'true' }, view.key.toUpperCase()))),
            );
        }
        showView();
    };
    isNarrow.addEventListener('change', listViews);
    store.subscribe(['van', 'scenes', 'file'], listViews);
    store.subscribe(['view'], showView);
}

/**
 * The sections about the chosen thing. Those that stay when another thing is chosen are mounted anew all the same: they
 * may differ.
 * @param {HTMLElement} element
 * @param {Store} store
 * @returns {() => void}
 */
export function mountAbout(element, store) {
    /** @type {(() => void)[]} */
    let unmounts = [];
    let shown = '?';
    const show = () => {
        const { selection, van } = store.state;
        const key = selection ? `${selection.type} ${selection.id}` : van ? '' : 'no van';
        if (key === shown) return;
        shown = key;
        for (const unmount of unmounts) unmount();
        element.replaceChildren();
        unmounts = sectionsAbout(selection, store).map((section) => {
            const part = h('section', { class: `about-${section.id}` });
            element.append(part);
            return section.mount(part, store, selection);
        });
        element.scrollTop = 0;
    };
    const end = store.subscribe(['selection', 'van'], show);
    return () => {
        end();
        for (const unmount of unmounts) unmount();
    };
}

/** @param {Store} store */
function mountNotice(store) {
    const element = find('#notice', HTMLElement);
    /** @type {number|undefined} */
    let timer;
    store.subscribe(['notice'], ({ notice }) => {
        clearTimeout(timer);
        element.replaceChildren();
        element.classList.toggle('shown', notice !== null);
        if (!notice) return;
        element.classList.toggle('wrong', notice.isWrong);
        element.append(h('span', {}, notice.words));
        const { action } = notice;
        if (action) {
            element.append(h('button', { onclick: () => { store.set({ notice: null }); action.run(); } }, action.words));
        }
        element.append(h('button', { class: 'quiet', 'aria-label': 'Close this notice', onclick: () => store.set({ notice: null }) }, '✕'));
        // A notice that offers something, or tells of something wrong, stays until it is closed or another comes.
        if (!notice.isWrong && !action) timer = setTimeout(() => store.set({ notice: null }), 6000);
    });
}

/** @param {Store} store */
function mountLost(store) {
    const element = find('#lost', HTMLElement);
    store.subscribe(['connection', 'file'], ({ connection, file }) => {
        element.hidden = connection !== 'gone';
        setText(element, connection === 'gone'
            ? `The program has stopped answering. Nothing is lost: all that you did is in ${file?.file || 'the file'}. Start it again with “loomwall open”; this page looks for it on its own.`
            : '');
    });
}

/** @param {Store} store */
function mountKeys(store) {
    document.addEventListener('keydown', (event) => {
        if (!isForPage(event)) return;
        const name = keyName(event);
        // While a person types, undoing belongs to the field.
        if (isTyping(event.target) && ['Ctrl+Z', 'Ctrl+Shift+Z', 'Ctrl+Y'].includes(name)) return;
        const command = commandsPossible(store).find((c) => c.keys?.includes(name));
        const view = viewsThere(store).find((v) => v.key.toUpperCase() === name);
        if (!command && !view) return;
        event.preventDefault();
        if (command) command.run(store);
        else if (view) store.show(view.id);
    });
}
