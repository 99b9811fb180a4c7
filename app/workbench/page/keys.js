/* Keys by name: "Ctrl+Z", "Shift+R", "Delete", "?". A letter alone does nothing while a person types in a field. */

/** Command on machines that have it in Ctrl's place. */
const IS_COMMAND = /Mac|iP(hone|ad)/.test(navigator.platform);

/**
 * @param {KeyboardEvent} event
 * @returns {string}
 */
export function keyName(event) {
    const key = event.key.length === 1 ? event.key.toUpperCase() : event.key;
    const isControl = IS_COMMAND ? event.metaKey : event.ctrlKey;
    // Shift is part of a sign such as `?`, but stands beside a letter.
    const isShift = event.shiftKey && (event.key.length > 1 || /[A-Z]/.test(key));
    return (isControl ? 'Ctrl+' : '') + (event.altKey ? 'Alt+' : '') + (isShift ? 'Shift+' : '') + key;
}

/** @param {EventTarget|null} target */
export function isTyping(target) {
    if (!(target instanceof HTMLElement)) return false;
    if (target.isContentEditable || target instanceof HTMLTextAreaElement || target instanceof HTMLSelectElement) return true;
    return target instanceof HTMLInputElement && !['checkbox', 'radio', 'button', 'range'].includes(target.type);
}

/**
 * Whether the page's single keys are meant, or a dialog or field has them.
 * @param {KeyboardEvent} event
 */
export function isForPage(event) {
    if (event.defaultPrevented || document.querySelector('dialog[open]')) return false;
    return !isTyping(event.target) || event.ctrlKey || event.metaKey;
}
