/* A form is a list of fields about one thing. When the thing changes, fields that stay are updated in place, so that focus
 * and what is being typed survive. */
import { h } from '../dom.js';
import { makeField } from './field.js';

/** @typedef {import('./field.js').FieldSpec} FieldSpec */
/** @typedef {import('./field.js').Given} Given */
/**
 * Where the values of a form go. `revision` is the one on which the hand rested its eyes when it began to type.
 * @typedef {object} FormHost
 * @property {(key: string, value: Given, revision: number) => Promise<string|null>} check
 * @property {(key: string, value: Given, revision: number) => Promise<string|null>} commit
 * @property {string} [written]
 */
/** @typedef {import('./field.js').Field} Field */
/** @typedef {{title: string, isFolded?: boolean, fields: {spec: FieldSpec, given: Given}[]}} Group */

/**
 * @param {FormHost} host
 */
export function makeForm(host) {
    const element = h('div', { class: 'form' });
    /** @type {Map<string, {field: Field, looks: string}>} */
    const fields = new Map();
    let shown = 0;
    /** @type {Map<string, number>} */
    const seen = new Map();
    /** @type {import('./field.js').FieldHost} */
    const fieldHost = {
        written: host.written,
        check: (key, value) => host.check(key, value, seen.get(key) ?? 0),
        commit: async (key, value) => {
            const trouble = await host.commit(key, value, seen.get(key) ?? 0);
            // What is typed on top of what was just written has seen it.
            if (trouble === null) seen.set(key, shown);
            return trouble;
        },
    };
    /** @type {Map<string, HTMLElement>} */
    const groups = new Map();

    /** @param {Group} group */
    const groupElement = (group) => {
        let box = groups.get(group.title);
        if (!box) {
            box = group.isFolded
                ? h('details', { class: 'form-group' }, h('summary', {}, group.title))
                : h('section', { class: 'form-group' }, group.title ? h('h3', {}, group.title) : null);
            groups.set(group.title, box);
        }
        return box;
    };

    /**
     * @param {{spec: FieldSpec, given: Given}} wanted
     * @param {number} revision
     */
    const fieldFor = ({ spec, given }, revision) => {
        const looks = JSON.stringify(spec);
        const old = fields.get(spec.key);
        if (!old?.field.isDirty()) seen.set(spec.key, revision);
        if (old && (old.looks === looks || old.field.isDirty())) {
            old.field.update(given);
            return old.field;
        }
        const hadFocus = old?.field.element.contains(document.activeElement);
        const field = makeField(spec, given, fieldHost);
        old?.field.element.replaceWith(field.element);
        fields.set(spec.key, { field, looks });
        if (hadFocus) field.focus();
        return field;
    };

    /**
     * @param {Group[]} wanted
     * @param {number} [revision] of the file that they show
     */
    function show(wanted, revision = 0) {
        shown = revision;
        const keys = new Set(wanted.flatMap((group) => group.fields.map(({ spec }) => spec.key)));
        for (const [key, { field }] of fields) {
            if (keys.has(key)) continue;
            field.element.remove();
            fields.delete(key);
        }
        const boxes = wanted.filter((group) => group.fields.length > 0).map((group) => {
            const box = groupElement(group);
            const heading = box.firstElementChild?.matches('h3, summary') ? 1 : 0;
            place(box, group.fields.map((each) => fieldFor(each, revision).element), heading);
            return box;
        });
        for (const [title, box] of groups) {
            if (boxes.includes(box)) continue;
            box.remove();
            groups.delete(title);
        }
        place(element, boxes, 0);
    }

    return {
        element,
        show,
        /** @param {string} key */
        field: (key) => fields.get(key)?.field,
        /** @param {string} key */
        focus: (key) => {
            const field = fields.get(key)?.field;
            const folded = field?.element.closest('details');
            if (folded) folded.open = true;
            field?.focus();
        },
    };
}

/**
 * Puts the children in order from a place on, and moves only those that are not where they belong: moving takes the focus.
 * @param {HTMLElement} parent
 * @param {HTMLElement[]} children
 * @param {number} start
 */
function place(parent, children, start) {
    children.forEach((child, i) => {
        const there = parent.children[start + i] ?? null;
        if (there !== child) parent.insertBefore(child, there);
    });
}
