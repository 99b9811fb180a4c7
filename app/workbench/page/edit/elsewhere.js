/* Says when the file was changed by another hand: a text editor, or a second page. It takes no focus, and what is typed in a
 * field stays there. */
import { plightOf } from '../plight.js';
import { atStart } from '../views.js';

atStart((store) => {
    let seen = 0;
    store.subscribe(['file'], async ({ file }) => {
        const revision = file?.revision ?? 0;
        const before = seen;
        seen = Math.max(seen, revision);
        if (before === 0 || revision <= before) return;
        // The program tells all pages at once: wait for the answer to what this page may have sent itself.
        await store.queue;
        if (!store.own.has(revision) && !plightOf(store.state)) {
            store.say('The file was changed by another hand. What you see is the file as it is now.');
        }
    });
});
