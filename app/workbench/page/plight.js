/* What is wrong with the file itself: it can't be read as it is now, or it is gone from its folder. Then what is drawn is the
 * van as it last could be read, and nothing about it is proven. */

import { find, h } from './dom.js';

/** @typedef {import('./store.js').Store} Store */
/** @typedef {'unreadable'|'gone'} Plight */

/** What stands at the gates then. */
export const PLIGHT_WORDS = { unreadable: 'the file can’t be read', gone: 'the file is gone' };

/**
 * @param {Pick<import('./store.js').State, 'file'|'van'>} state
 * @returns {Plight|null}
 */
export function plightOf({ file, van }) {
    if (!file?.has_file) return null;
    if (!file.on_disk && van) return 'gone';
    return file.readable ? null : 'unreadable';
}

/** As it was last, or where that can't be read as it was before. @param {Store} store */
async function writeAgain(store) {
    const { text } = await store.server.get('/api/text');
    const outcome = store.state.file?.readable
        ? await store.send('/api/text', { text, says: 'write the file again' })
        : await store.send('/api/undo', {});
    if (outcome.ok) await store.refresh();
    store.say(outcome.ok ? 'The file is there again.' : outcome.error, { isWrong: !outcome.ok });
}

/**
 * @param {import('./types.js').FileState} file
 * @param {boolean} hasVan
 */
function unreadableWords(file, hasVan) {
    const [first, ...more] = file.faults;
    const where = first ? ` Line ${first.line}: ${first.wrong}; ${first.right}.` : '';
    const others = more.length ? ` And ${more.length} more.` : '';
    const drawn = hasVan ? ' What is drawn is the van as it last could be read; nothing of it is proven.' : '';
    return `${file.file} can’t be read as it is now.${where}${others}${drawn}`;
}

/** @param {Store} store */
export function mountPlight(store) {
    const element = find('#plight', HTMLElement);
    store.subscribe(['file', 'van'], ({ file, van }) => {
        const plight = plightOf({ file, van });
        element.hidden = plight === null;
        element.replaceChildren();
        if (!file || !plight) return;
        if (plight === 'gone') {
            element.append(
                `${file.file} is gone from its folder. What is drawn is the van as it was there last.`,
                h('button', { onclick: () => writeAgain(store) }, 'Write it again'));
        } else {
            element.append(unreadableWords(file, van !== null), h('button', { onclick: () => store.show('text') }, 'Show the text'));
        }
    });
}
