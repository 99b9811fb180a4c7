/* A form for what is not in the file yet: its values are kept here until it is sent as a whole. */
import { h, setText } from '../dom.js';
import { REST_ms } from './field.js';
import { makeForm } from './form.js';

/** @typedef {import('./field.js').Given} Given */
/** @typedef {import('./form.js').Group} Group */
/** @typedef {{[key: string]: Given}} Values */

/**
 * @param {object} parts
 * @param {Values} parts.values to begin with
 * @param {(values: Values) => Group[]} parts.groups with the values as given; asked again after each change
 * @param {(values: Values) => Promise<string|null>} parts.check what is wrong with them all
 * @param {(values: Values) => void} [parts.changed]
 */
export function makeDraft({ values, groups, check, changed }) {
    const trouble = h('p', { class: 'draft-trouble', role: 'status' });
    let asked = 0;

    /** @param {Values} now */
    const checkAll = (now) => {
        const mine = ++asked;
        setTimeout(async () => {
            if (mine !== asked) return;
            const what = await check(now);
            if (mine === asked) setText(trouble, what ?? '');
        }, REST_ms);
    };
    const form = makeForm({
        check: async (key, value) => {
            asked++;
            return check({ ...values, [key]: value });
        },
        commit: async (key, value) => {
            set({ [key]: value });
            return null;
        },
    });

    const show = () => form.show(groups(values).map((group) => ({
        ...group,
        fields: group.fields.map(({ spec }) => ({ spec, given: values[spec.key] })),
    })));

    /** @param {Values} some */
    function set(some) {
        Object.assign(values, some);
        show();
        changed?.(values);
        checkAll(values);
    }
    show();

    return {
        element: h('div', { class: 'draft' }, form.element, trouble),
        values,
        set,
        focus: form.focus,
        field: form.field,
        /** Takes in what is typed but not yet committed. */
        gather: () => {
            for (const { spec } of groups(values).flatMap((group) => group.fields)) {
                const field = form.field(spec.key);
                if (field?.isDirty()) values[spec.key] = field.value();
            }
            show();
            return values;
        },
        /** @param {string|null} what */
        tell: (what) => {
            asked++;
            setText(trouble, what ?? '');
        },
    };
}

/**
 * Enter anywhere in the form sends it, but breaks the line in a long text and presses a button.
 * @param {HTMLElement} element
 * @param {() => void} send
 */
export function sendByEnter(element, send) {
    element.addEventListener('keydown', (event) => {
        if (event.key !== 'Enter' || event.target instanceof HTMLButtonElement || event.target instanceof HTMLTextAreaElement) return;
        event.preventDefault();
        event.stopPropagation();
        send();
    }, { capture: true });
}
