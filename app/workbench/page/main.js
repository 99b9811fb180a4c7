/* The page of the workbench. It shows what the program says and sends what a person does; it computes no physics.
 *
 *   server.js   requests with the sitting's token; events
 *   store.js    the one state; parts subscribe to its keys and change it through its actions alone
 *   views.js    where parts plug in: views (main space), sections (words about the chosen thing), commands (keys), finders
 *   dom.js      making elements
 *   types.js    what travels between program and page
 *
 * A part is a module that registers itself when it is imported: a new part is one line below. It mounts into the element that
 * it is given, subscribes to what it shows, and gives back what ends that:
 *
 *   addView({id: 'water', title: 'Water', key: 'w', order: 60, mount(element, store) {
 *       const words = h('p');
 *       element.append(words);
 *       return store.subscribe(['van'], ({van}) => setText(words, van?.name ?? ''));
 *   }});
 */

import { connect } from './server.js';
import { Store } from './store.js';
import { start } from './views.js';
import { mountShell } from './shell.js';

// The parts.
import './live.js';
import './controls.js';
import './findings.js';
import './items.js';
import './book.js';
import './search.js';
import './commands.js';
import './edit/edit.js';

const store = new Store(connect(location.hash.slice(1)));
mountShell(store);
start(store);
store.server.get('/api/kinds').then((kinds) => store.set({ kinds }));
store.refresh();
store.server.listen(
    (event, data) => store.hear(event, data),
    (there) => {
        store.set({ connection: there ? 'there' : 'gone' });
        if (there) store.refresh();
    },
);
