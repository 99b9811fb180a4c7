/* Numbers as people read them. A reading keeps its number of decimals, so that it does not jump while it changes. */

const NOTHING = '–';

/**
 * @param {number|null|undefined} value
 * @param {number} decimals
 * @param {string} unit
 */
function fixed(value, decimals, unit) {
    if (value === null || value === undefined) return `${NOTHING} ${unit}`;
    const text = value.toFixed(decimals);
    return `${Number(text) === 0 ? text.replace('-', '') : text.replace('-', '−')} ${unit}`;
}

/** @param {number|null|undefined} value */
export const volts = (value) => fixed(value, 2, 'V');
/** @param {number|null|undefined} value */
export const amps = (value) => (value && Math.abs(value) < 0.005 ? '< 0.01 A' : fixed(value, 2, 'A'));
/** @param {number|null|undefined} value */
export const watts = (value) => fixed(value, Math.abs(value ?? 0) < 100 ? 1 : 0, 'W');

/**
 * Three figures that count, without the zeros behind.
 * @param {number} value
 */
export function short(value) {
    const size = Math.abs(value);
    const text = size >= 1000 ? Math.round(value).toString() : Number(value.toPrecision(3)).toString();
    return text.replace('-', '−');
}
