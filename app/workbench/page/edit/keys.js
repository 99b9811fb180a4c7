/* What the keys do to the chosen thing. */
import { addCommands } from '../views.js';
import { addItem } from './add.js';
import { copyItem, copyWire, dropItem, dropWire } from './deeds.js';

/** @typedef {import('../store.js').Store} Store */

/**
 * @param {Store} store
 * @param {{item: (store: Store, item: import('../types.js').Item) => void, wire: (store: Store, wire: import('../types.js').Wire) => void}} deeds
 */
function toChosen(store, deeds) {
    const { selection } = store.state;
    const item = selection?.type === 'item' ? store.item(selection.id) : null;
    const wire = selection?.type === 'wire' ? store.wire(selection.id) : null;
    if (item) deeds.item(store, item);
    if (wire) deeds.wire(store, wire);
}

/** @param {Store} store */
const isChosen = (store) => ['item', 'wire'].includes(store.state.selection?.type ?? '');

addCommands(
    { id: 'add-item', name: 'Add an item …', group: 'Edit', keys: ['A'], isPossible: (store) => store.state.van !== null, run: addItem },
    { id: 'copy-chosen', name: 'Copy the chosen item or wire', group: 'Edit', keys: ['Ctrl+D'], isPossible: isChosen,
        run: (store) => toChosen(store, { item: copyItem, wire: copyWire }) },
    { id: 'drop-chosen', name: 'Delete the chosen item or wire', group: 'Edit', keys: ['Delete', 'Backspace'], isPossible: isChosen,
        run: (store) => toChosen(store, { item: dropItem, wire: dropWire }) },
);
