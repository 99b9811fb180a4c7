/* Commands of the whole page: undo, theme, leaving a choice; and their buttons at the top. */

import { find, h } from './dom.js';
import { addCommands, allCommands, atStart } from './views.js';

/** @typedef {import('./store.js').Store} Store */

const THEMES = /** @type {const} */ (['system', 'light', 'dark']);

/**
 * @param {Store} store
 * @param {'undo'|'redo'} which
 */
async function step(store, which) {
    const what = store.state.file?.[which];
    if (!what) return;
    const outcome = await store[which]();
    store.say(outcome.ok ? `${which === 'undo' ? 'Undone' : 'Done again'}: ${what}.` : outcome.error, { isWrong: !outcome.ok });
}

/** @param {Store} store */
function nextTheme(store) {
    const { theme } = store.state.settings;
    store.setSettings({ theme: THEMES[(THEMES.indexOf(theme) + 1) % THEMES.length] });
}

addCommands(
    { id: 'undo', name: 'Undo', group: 'File', keys: ['Ctrl+Z'], isPossible: (store) => Boolean(store.state.file?.undo), run: (store) => step(store, 'undo') },
    { id: 'redo', name: 'Redo', group: 'File', keys: ['Ctrl+Shift+Z', 'Ctrl+Y'], isPossible: (store) => Boolean(store.state.file?.redo), run: (store) => step(store, 'redo') },
    { id: 'theme', name: 'Light, dark, or as the system has it', group: 'Page', keys: ['Shift+T'], run: nextTheme },
    { id: 'leave', name: 'Leave the choice', group: 'Page', keys: ['Escape'], isPossible: (store) => store.state.selection !== null, run: (store) => store.select(null) },
);

atStart((store) => {
    const tools = find('#tools', HTMLElement);
    const command = (/** @type {string} */ id) => allCommands().find((c) => c.id === id)?.run(store);
    const undo = h('button', { class: 'of-file', onclick: () => step(store, 'undo') }, 'Undo');
    const redo = h('button', { class: 'of-file', onclick: () => step(store, 'redo') }, 'Redo');
    const theme = h('button', { onclick: () => nextTheme(store) });
    tools.append(undo, redo,
        h('button', { class: 'of-file', onclick: () => command('search'), 'aria-keyshortcuts': 'Control+K' }, 'Search'), theme,
        h('button', { onclick: () => command('print'), class: 'wide of-file' }, 'Print'),
        h('button', { onclick: () => command('copy-picture'), class: 'wide of-file' }, 'Picture'),
        h('button', { onclick: () => command('commands'), 'aria-label': 'All keys', title: 'All keys' }, '?'));
    store.subscribe(['file'], ({ file }) => {
        undo.disabled = !file?.undo;
        redo.disabled = !file?.redo;
        undo.title = file?.undo ? `Undo: ${file.undo}` : 'Nothing to undo';
        redo.title = file?.redo ? `Redo: ${file.redo}` : 'Nothing to redo';
    });
    store.subscribe(['settings'], ({ settings }) => {
        const word = { system: 'auto', light: 'light', dark: 'dark' }[settings.theme];
        theme.replaceChildren(h('span', { class: 'wide' }, 'Theme: '), word);
        theme.setAttribute('aria-label', `Theme: ${word}`);
        theme.title = settings.theme === 'system' ? 'Light or dark, as the system has it' : `${settings.theme}, whatever the system has`;
    });
});
