/* From what the program says about a key or a parameter to the field that holds it. The page knows no key, kind, size or
 * colour by itself; only which of them deserve a list to choose from. */

/** @typedef {import('../types.js').CatalogueKey} CatalogueKey */
/** @typedef {import('../types.js').KindParameter} KindParameter */
/** @typedef {import('../types.js').Kinds} Kinds */
/** @typedef {import('../types.js').Van} Van */
/** @typedef {import('../types.js').Item} Item */
/** @typedef {import('../types.js').Wire} Wire */
/** @typedef {import('./field.js').FieldSpec} FieldSpec */
/** @typedef {import('./field.js').Given} Given */
/** @typedef {import('./form.js').Group} Group */

/** What the program names as the source of what only the file can say. */
const OF_FILE = 'the van file';
const TRUTHS = ['true', 'false'];
const TRUTH_NAMES = { true: 'yes', false: 'no' };

/** @type {{[holds: string]: FieldSpec['form']}} */
const FORMS = { word: 'choice', truth: 'choice', words: 'list' };
const LONG_KEYS = ['says', 'why'];

/**
 * @param {CatalogueKey} key
 * @param {Partial<FieldSpec>} [more]
 * @returns {FieldSpec}
 */
export function keySpec(key, more = {}) {
    const isTruth = key.holds === 'truth';
    return {
        key: key.key,
        label: spoken(key.key),
        form: LONG_KEYS.includes(key.key) ? 'long' : FORMS[key.holds] ?? 'text',
        says: withRange(key.says, key),
        choices: isTruth ? TRUTHS : key.choices,
        choiceNames: isTruth ? TRUTH_NAMES : undefined,
        isRequired: key.is_required,
        ...more,
    };
}

/**
 * @param {KindParameter} parameter
 * @param {string[]} [offers]
 * @returns {FieldSpec}
 */
export function parameterSpec(parameter, offers) {
    const isChoice = parameter.is_truth || parameter.choices.length > 0;
    const otherwise = parameter.default ?? parameter.default_from;
    return {
        key: parameter.parameter,
        label: spoken(parameter.parameter),
        form: parameter.is_list ? 'list' : isChoice ? 'choice' : 'text',
        says: withRange(parameter.says, parameter),
        choices: parameter.is_truth ? TRUTHS : parameter.choices,
        choiceNames: parameter.is_truth ? TRUTH_NAMES : undefined,
        default: otherwise === null ? undefined : String(otherwise),
        from: otherwise === null || parameter.source === OF_FILE ? undefined : parameter.source,
        offers,
        isRequired: parameter.is_required,
    };
}

/** @param {string} key */
export const spoken = (key) => key.replaceAll('-', ' ');

/**
 * @param {string} says
 * @param {{least: unknown, most: unknown, units: string[]}} of
 */
function withRange(says, of) {
    const range = of.least !== null && of.most !== null ? `${of.least} to ${of.most}` : '';
    const units = of.units.length > 0 ? `in ${of.units.slice(0, 4).join(', ')}` : '';
    const both = [range, units].filter(Boolean).join(', ');
    return both ? `${says} (${both})` : says;
}

/** @param {unknown} value */
export const asGiven = (value) =>
    Array.isArray(value) ? value.map(String) : value === undefined || value === null || value === '' ? undefined : String(value);

/* --- the van --- */

/**
 * @param {Kinds} kinds
 * @param {Van} van
 * @returns {Group[]}
 */
export function vanGroups(kinds, van) {
    const has = { name: van.name, says: van.says, revision: van.own_revision, practice: van.practice };
    const simple = kinds.van_keys.filter((key) => key.key in has);
    return [
        { title: 'The van', fields: simple.map((key) => ({
            spec: keySpec(key),
            given: asGiven(has[/** @type {keyof typeof has} */ (key.key)]),
        })) },
        { title: 'Conditions', fields: kinds.conditions_keys.map((key) => ({
            spec: keySpec(key, { key: `conditions/${key.key}` }),
            given: asGiven(van.conditions[/** @type {'hottest'|'coldest'} */ (key.key)]),
        })) },
        { title: 'Decided', fields: van.decided.map((decision, i) => ({
            spec: {
                key: `decided/${i}/why`,
                label: decision.where,
                form: 'long',
                says: `${spoken(decision.rule)}, decided on ${decision.date}; empty takes the decision back`,
            },
            given: decision.why,
        })) },
    ];
}

/* --- an item --- */

/**
 * @param {Kinds} kinds
 * @param {Van} van
 * @param {string} name
 */
export const kindOf = (kinds, van, name) => [...van.kinds, ...kinds.kinds].find((kind) => kind.kind === name);

/**
 * @param {Kinds} kinds
 * @param {Van} van
 * @param {string} kind
 * @param {{[key: string]: unknown}} given
 */
export function parameterFields(kinds, van, kind, given) {
    const of = kindOf(kinds, van, kind);
    return (of?.parameters ?? []).map((parameter) => ({
        spec: parameterSpec(parameter, offersFor(parameter, kinds, of?.parameters ?? [], given)),
        given: asGiven(given[parameter.parameter]),
    }));
}

/**
 * Ratings come in a series that depends on the style of the device.
 * @param {KindParameter} parameter
 * @param {Kinds} kinds
 * @param {KindParameter[]} all
 * @param {{[key: string]: unknown}} given
 */
function offersFor(parameter, kinds, all, given) {
    if (!['rating', 'slots'].includes(parameter.parameter)) return undefined;
    const style = given.style ?? all.find((each) => each.parameter === 'style')?.default;
    const isOfBlock = parameter.parameter === 'rating' && all.some((each) => each.is_list);
    return isOfBlock ? undefined : kinds.ratings[String(style)];
}

/**
 * @param {Kinds} kinds
 * @param {Van} van
 * @param {Item} item
 * @returns {Group[]}
 */
export function itemGroups(kinds, van, item) {
    const canStand = item.positions.length > 1 && !item.moved_by_coil;
    /** @type {{[key: string]: {given: Given, more?: Partial<FieldSpec>, isThere?: boolean}}} */
    const has = {
        kind: { given: item.kind, more: { form: 'choice', choices: kindNames(kinds, van) } },
        name: { given: asGiven(item.name), more: { default: item.id } },
        says: { given: asGiven(item.says) },
        panel: { given: asGiven(item.panel), more: { offers: van.panels } },
        critical: { given: asGiven(item.critical) },
        positions: { given: asGiven(item.positions_given), isThere: canStand, more: { offers: item.positions } },
        'never-with': { given: asGiven(item.never_with.length ? item.never_with : undefined), isThere: canStand, more: { offers: otherPositions(van, item) } },
    };
    const parameters = parameterFields(kinds, van, item.kind, item.given);
    const taken = new Set(parameters.map((field) => field.spec.key));
    /** @param {string[]} keys */
    const fields = (keys) => kinds.item_keys
        .filter(({ key }) => keys.includes(key) && has[key] && has[key].isThere !== false && !taken.has(key))
        .map((key) => ({ spec: keySpec(key, has[key.key].more), given: has[key.key].given }));
    const kind = kindOf(kinds, van, item.kind);
    return [
        { title: 'What it is', fields: [
            { spec: { key: 'id', label: 'id', form: 'text', isRequired: true, says: 'what the file calls it; renamed wherever it is named' }, given: item.id },
            ...fields(['kind', 'name', 'says', 'panel', 'critical']),
        ] },
        { title: kind ? `As a ${spoken(kind.kind)}` : 'Of its kind', fields: parameters },
        { title: 'How it may stand', fields: fields(['positions', 'never-with']) },
    ];
}

/**
 * @param {Kinds} kinds
 * @param {Van} van
 */
export const kindNames = (kinds, van) => [...van.kinds, ...kinds.kinds].map((kind) => kind.kind).sort();

/**
 * @param {Van} van
 * @param {Item} item
 */
const otherPositions = (van, item) => van.items
    .filter((other) => other.id !== item.id && other.positions.length > 1 && !other.moved_by_coil)
    .flatMap((other) => other.positions.map((position) => `${other.id}.${position}`));

/* --- a wire --- */

/**
 * @param {Kinds} kinds
 * @param {Van} van
 * @param {Wire} wire
 * @param {(typed: string) => Promise<string|null>} pickTerminal
 * @returns {Group[]}
 */
export function wireGroups(kinds, van, wire, pickTerminal) {
    const ends = { pick: pickTerminal, pickLabel: 'Choose', offers: van.items.flatMap((item) => item.terminals.map((terminal) => terminal.id)) };
    /** @type {{[key: string]: Partial<FieldSpec>}} */
    const more = {
        from: ends,
        to: ends,
        size: { offers: ['auto', ...kinds.sizes[van.practice]], default: 'auto', from: 'the program chooses it, and tells why' },
        colour: { offers: kinds.colours },
    };
    const main = ['from', 'to', 'length', 'size', 'colour', 'says'];
    const given = { from: wire.from, to: wire.to, ...wire.given };
    /** @param {(key: string) => boolean} isIn */
    const fields = (isIn) => kinds.wire_keys.filter(({ key }) => isIn(key)).map((key) => ({
        spec: keySpec(key, more[key.key]),
        given: asGiven(given[/** @type {keyof typeof given} */ (key.key)]),
    }));
    return [
        { title: '', fields: fields((key) => main.includes(key)) },
        { title: 'How it is laid', fields: fields((key) => !main.includes(key)) },
    ];
}
