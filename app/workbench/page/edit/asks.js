/* What the program asks before it adds a ready-made circuit or begins a van: questions become fields, prefilled. */
import { spoken } from './specs.js';

/** @typedef {import('../types.js').Ask} Ask */
/** @typedef {import('./field.js').FieldSpec} FieldSpec */
/** @typedef {import('./draft.js').Values} Values */

const TRUTHS = ['true', 'false'];

/**
 * @param {Ask} ask
 * @returns {FieldSpec}
 */
export function askSpec(ask) {
    const isTruth = ask.in === 'truth';
    const isChoice = isTruth || ask.in === 'choice';
    const range = ask.least && ask.most ? `${ask.least} to ${ask.most}` : '';
    return {
        key: ask.name,
        label: ask.label,
        form: isChoice ? 'choice' : 'text',
        says: range,
        choices: isTruth ? TRUTHS : isChoice ? ask.choices : undefined,
        choiceNames: isTruth ? { true: 'yes', false: 'no' } : Object.fromEntries(ask.choices.map((choice) => [choice, nameOf(choice)])),
        offers: isChoice ? undefined : ask.choices,
        isRequired: isChoice,
        default: isChoice ? undefined : ask.default,
    };
}

/** What a newcomer may not know by its short name. @type {{[choice: string]: string}} */
const NAMES = {
    'north-america': 'North America',
    europe: 'Europe',
    lfp: 'lithium iron phosphate (lfp)',
    agm: 'absorbed glass mat (agm)',
    flooded: 'lead in liquid acid (flooded)',
    gel: 'lead in gelled acid (gel)',
};

/** @param {string} choice */
export const nameOf = (choice) => NAMES[choice] ?? spoken(choice);

/** @param {Ask[]} asks @returns {Values} */
export const presets = (asks) => Object.fromEntries(asks.map((ask) => [ask.name, ask.default || undefined]));

/**
 * What is empty takes its default.
 * @param {Values} values
 * @returns {{[name: string]: string}}
 */
export const answersOf = (values) =>
    Object.fromEntries(Object.entries(values).flatMap(([name, value]) => (value === undefined ? [] : [[name, String(value)]])));
