/* Dialogs: a title, what is asked, and the ends. Enter goes on, Escape leaves; focus returns to where it came from. */
import { h } from '../dom.js';

let n_dialogs = 0;

/**
 * @param {string} title
 * @param {{class?: string, body: (Node|string)[], ends?: Node[], onclose?: () => void}} parts
 */
export function openDialog(title, parts) {
    const id = `dialog-${++n_dialogs}`;
    const from = document.activeElement;
    const shut = h('button', { type: 'button', class: 'quiet dialog-shut', 'aria-label': 'Close', onclick: () => dialog.close() }, '✕');
    const dialog = h('dialog', { class: `edit-dialog ${parts.class ?? ''}`, 'aria-labelledby': id },
        h('header', { class: 'dialog-head' }, h('h2', { id }, title), shut),
        h('div', { class: 'dialog-body' }, parts.body),
        parts.ends ? h('div', { class: 'dialog-ends' }, parts.ends) : null);
    dialog.addEventListener('close', () => {
        dialog.remove();
        if ((from instanceof HTMLElement || from instanceof SVGElement) && from.isConnected && document.activeElement === document.body) from.focus();
        parts.onclose?.();
    });
    document.body.append(dialog);
    dialog.showModal();
    return dialog;
}
