/* New items, and items that become another kind: both need what the kind must be given. */
import { h } from '../dom.js';
import { freeId, itemName } from './deeds.js';
import { openDialog } from './dialog.js';
import { makeDraft, sendByEnter } from './draft.js';
import { keySpec, kindNames, kindOf, parameterFields, spoken } from './specs.js';
import { chooseAndFill } from './wants.js';
import { troubleOf } from './writer.js';

/** @typedef {import('../store.js').Store} Store */
/** @typedef {import('../types.js').Item} Item */
/** @typedef {import('../types.js').Edit} Edit */
/** @typedef {import('../types.js').Given} Keys */
/** @typedef {import('./draft.js').Values} Values */
/** @typedef {import('./form.js').Group} Group */

/** @param {Values} values */
const given = (values) => /** @type {Keys} */ (Object.fromEntries(Object.entries(values).filter(([, value]) => value !== undefined)));

/**
 * @param {Store} store
 * @param {string} kind
 * @param {Values} values
 * @returns {Group[]}
 */
function kindGroups(store, kind, values) {
    const { kinds, van } = store.state;
    if (!kinds || !van) return [];
    const fields = parameterFields(kinds, van, kind, values);
    return [
        { title: 'What it must be given', fields: fields.filter(({ spec }) => spec.isRequired) },
        { title: 'More that it takes', isFolded: true, fields: fields.filter(({ spec }) => !spec.isRequired) },
    ];
}

/**
 * A dialog around a draft that ends in one edit.
 * @param {Store} store
 * @param {object} parts
 * @param {string} parts.title
 * @param {string} parts.ends words of the button that sends it
 * @param {(Node|string)[]} parts.body
 * @param {Values} parts.values
 * @param {(values: Values) => Group[]} parts.groups
 * @param {(values: Values) => {says: string, edits: Edit[]}} parts.change
 * @param {(values: Values) => void} parts.done
 */
function draftDialog(store, { title, ends, body, values, groups, change, done }) {
    const draft = makeDraft({
        values,
        groups,
        check: async (now) => {
            const { says, edits } = change(now);
            return troubleOf(await store.ask(says, edits));
        },
    });
    const send = async () => {
        const { says, edits } = change(draft.gather());
        const outcome = await store.edit(says, edits);
        if (!outcome.ok) return draft.tell(troubleOf(outcome));
        dialog.close();
        done(draft.values);
    };
    sendByEnter(draft.element, send);
    const dialog = openDialog(title, {
        body: [...body, draft.element],
        ends: [
            h('button', { type: 'button', onclick: () => dialog.close() }, 'Leave it'),
            h('button', { type: 'button', class: 'main', onclick: send }, ends),
        ],
    });
    const first = groups(values).flatMap((group) => group.fields).find(({ spec }) => spec.isRequired && values[spec.key] === undefined);
    draft.focus(first?.spec.key ?? 'name');
    return draft;
}

/** @param {Store} store */
export function addItem(store) {
    const { van, kinds } = store.state;
    if (!van || !kinds) return;
    const search = h('input', { type: 'search', 'aria-label': 'Search a kind', placeholder: 'Search: pump, switch, fuse …', autocomplete: 'off' });
    const list = h('ul', { class: 'kind-list' });
    const show = () => {
        const wanted = search.value.trim().toLowerCase();
        const names = kindNames(kinds, van).filter((name) => `${name} ${spoken(name)} ${kindOf(kinds, van, name)?.says}`.toLowerCase().includes(wanted));
        list.replaceChildren(...names.map((name) => h('li', {}, h('button', { type: 'button', onclick: () => choose(name) },
            h('strong', {}, spoken(name)), h('span', {}, kindOf(kinds, van, name)?.says)))));
    };
    /** @param {string} kind */
    const choose = (kind) => {
        dialog.close();
        addItemOfKind(store, kind);
    };
    search.addEventListener('input', show);
    sendByEnter(search, () => list.querySelector('button')?.click());
    const dialog = openDialog('Add an item: of which kind?', { class: 'kind-dialog', body: [search, list] });
    show();
    search.focus();
}

/**
 * @param {Store} store
 * @param {string} kind
 */
export function addItemOfKind(store, kind) {
    const { van, kinds } = store.state;
    if (!van || !kinds) return;
    const own = kinds.item_keys.filter(({ key }) => ['name', 'panel'].includes(key));
    const id = /** @type {import('./field.js').FieldSpec} */ ({ key: 'id', label: 'id', form: 'text', isRequired: true, says: 'what the file calls it: lower-case words joined by hyphens' });
    draftDialog(store, {
        title: `Add a ${spoken(kind)}`,
        ends: 'Add it',
        body: [h('p', {}, kindOf(kinds, van, kind)?.says ?? '')],
        values: { id: freeId(van, kind) },
        groups: (values) => {
            const [must, more] = kindGroups(store, kind, values);
            const names = own.map((key) => ({ spec: keySpec(key, key.key === 'panel' ? { offers: van.panels } : {}), given: undefined }));
            return [{ title: 'What it is', fields: [...names, { spec: id, given: undefined }] }, must, more];
        },
        change: ({ id: is, ...keys }) => ({
            says: `add ${keys.name ?? is}`,
            edits: [{ do: 'put', path: ['items', String(is ?? '')], value: { kind, ...given(keys) } }],
        }),
        done: (values) => chooseAndFill(store, { type: 'item', id: String(values.id) }, 'name'),
    });
}

/**
 * What the new kind does not take goes; what it must be given is asked, unless it is there.
 * @param {Store} store
 * @param {Item} item
 * @param {string} kind
 */
export async function changeKind(store, item, kind) {
    const { van, kinds } = store.state;
    if (!van || !kinds) return;
    const takes = new Set(kindOf(kinds, van, kind)?.parameters.map((parameter) => parameter.parameter));
    const gone = Object.keys(item.given).filter((key) => !takes.has(key));
    /** @param {Values} values */
    const change = (values) => ({
        says: `make ${itemName(item)} a ${spoken(kind)}`,
        edits: /** @type {Edit[]} */ ([
            { do: 'put', path: ['items', item.id, 'kind'], value: kind },
            ...gone.map((key) => ({ do: 'drop', path: ['items', item.id, key] })),
            ...Object.entries(given(values)).map(([key, value]) => ({ do: 'put', path: ['items', item.id, key], value })),
        ]),
    });
    const plain = change({});
    if ((await store.ask(plain.says, plain.edits)).ok) {
        await store.edit(plain.says, plain.edits);
        return;
    }
    draftDialog(store, {
        title: `Make ${itemName(item)} a ${spoken(kind)}`,
        ends: 'Change it',
        body: [h('p', {}, gone.length ? `It no longer takes: ${gone.join(', ')}.` : ''), h('p', {}, kindOf(kinds, van, kind)?.says ?? '')],
        values: {},
        groups: (values) => kindGroups(store, kind, values)
            .map((group) => ({ ...group, fields: group.fields.filter(({ spec }) => !(spec.key in item.given)) })),
        change,
        done: () => {},
    });
}
