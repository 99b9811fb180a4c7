/* The marks of the grades: an octagon stops, a triangle asks to mind, a circle notes, an octagon with a question mark is
 * unproven. Each stands with its word; colour only adds. */

import { svg } from './dom.js';

const OCTAGON = 'M7 2 L15 2 L20 7 L20 15 L15 20 L7 20 L2 15 L2 7 Z';
const SHAPES = {
    stop: OCTAGON,
    mind: 'M11 2.5 L20.5 19.5 L1.5 19.5 Z',
    note: 'M11 2 A9 9 0 1 1 10.99 2 Z',
    unproven: OCTAGON,
};

/**
 * @param {import('./types.js').Grade} grade
 * @returns {SVGElement}
 */
export function mark(grade) {
    const sign = svg('svg', { viewBox: '0 0 22 22', class: `mark mark-${grade}`, 'aria-hidden': 'true', width: 18, height: 18 });
    sign.append(svg('path', { d: SHAPES[grade] }));
    if (grade === 'unproven') {
        const sign_text = svg('text', { x: 11, y: 15.5, 'text-anchor': 'middle' });
        sign_text.textContent = '?';
        sign.append(sign_text);
    }
    return sign;
}
