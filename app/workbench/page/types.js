/* What travels between the program and the page, as types for the checker. Nothing here runs. */

/**
 * A place in the van. `id` is an item's id, a wire's label, a terminal's name (`pump.pos`), or the number of a finding.
 * @typedef {{type: 'item'|'wire'|'terminal'|'finding', id: string}} Selection
 */

/** @typedef {{id: string, word: string, wires: string[], open_allowed: boolean}} Terminal */
/** @typedef {string | string[] | {[key: string]: Value}} Value */
/** @typedef {{[key: string]: Value}} Given As a person wrote it in the file. */

/**
 * @typedef {object} Item
 * @property {string} id
 * @property {string} kind
 * @property {string} role
 * @property {string} name
 * @property {string} says
 * @property {string} panel
 * @property {boolean|null} critical
 * @property {string[]} positions where it may stand, its rest position first
 * @property {string[]} positions_given as the file has them
 * @property {string|null} dial
 * @property {boolean} is_charger
 * @property {boolean} moved_by_coil
 * @property {string[]} never_with
 * @property {Given} given
 * @property {Terminal[]} terminals
 * @property {number} line
 */

/** @typedef {{label: string, from: string, to: string, given: Given, is_proposed: boolean, line: number}} Wire */
/** @typedef {{rule: string, where: string, why: string, date: string, line: number}} Decision */

/**
 * @typedef {object} Van
 * @property {string} name
 * @property {string} says
 * @property {string} practice
 * @property {string} own_revision
 * @property {{hottest?: string, coldest?: string}} conditions
 * @property {string[]} panels
 * @property {Item[]} items
 * @property {Wire[]} wires
 * @property {string[]} retired
 * @property {Decision[]} decided
 * @property {Kind[]} kinds of this van alone
 * @property {string} next_label
 */

/** @typedef {{line: number, column: number, wrong: string, right: string, edit?: number}} Fault */

/**
 * GET /api/van, without the van.
 * @typedef {object} FileState
 * @property {number} revision
 * @property {string} file
 * @property {string} folder
 * @property {boolean} has_file it has a name
 * @property {boolean} on_disk
 * @property {boolean} readable
 * @property {Fault[]} faults
 * @property {string|null} undo
 * @property {string|null} redo
 */

/** @typedef {'cut'|'close'|'live'} GateWord */
/** @typedef {'stop'|'mind'|'note'|'unproven'} Grade */
/** @typedef {{gate: GateWord, open: boolean}} Gate */

/**
 * @typedef {object} Finding
 * @property {string} rule
 * @property {GateWord} gate
 * @property {Grade} grade
 * @property {string[]} where
 * @property {string} says
 * @property {number|null} value
 * @property {number|null} limit
 * @property {string} unit
 * @property {Positions} positions
 * @property {string} source
 * @property {string} remedy
 * @property {{says: string}[]} [mends]
 * @property {{why: string, date: string}} [decided]
 */

/** @typedef {{size?: string, chosen?: boolean, why?: string, ampacity_A?: number|null, length_m?: number|null}} WireJudged */

/**
 * @typedef {object} Judgement
 * @property {string} van
 * @property {{switch_positions: number, examined: number, complete: boolean, why_not?: string}} states
 * @property {Gate[]} gates
 * @property {Finding[]} findings
 * @property {{[label: string]: WireJudged}} [wires]
 */

/** @typedef {{revision: number, pending: boolean, judgement: Judgement|null}} JudgementState */

/** @typedef {{[item: string]: string}} Positions */

/**
 * @typedef {object} ItemReading
 * @property {boolean} [runs]
 * @property {'runs'|'dims'|'starved'|'floats'|'off'} [state]
 * @property {number|null} [volts]
 * @property {number|null} [watts]
 * @property {string} [position]
 * @property {'lit'|'dark'} [lamp]
 */

/**
 * POST /api/meter.
 * @typedef {object} Reading
 * @property {number} revision
 * @property {{[terminal: string]: number|null}} volts
 * @property {{[label: string]: number|null}} amps
 * @property {{[label: string]: number|null}} amps_rms
 * @property {{[label: string]: 'carries'|'live'|'dead'|'floats'}} [wires]
 * @property {{[item: string]: ItemReading}} items
 * @property {string|null} reference
 * @property {boolean} converged
 * @property {string} [trouble]
 * @property {boolean} [rms_exact]
 */

/** @typedef {{id: string, title: string, panel?: string}} SceneInfo */

/**
 * @typedef {object} KindParameter
 * @property {string} parameter
 * @property {string} says
 * @property {string|string[]} in
 * @property {string|number|boolean|null} default
 * @property {string|null} default_from another parameter whose value it takes
 * @property {string} source
 * @property {string[]} units
 * @property {string[]} choices
 * @property {string|number|null} least
 * @property {string|number|null} most
 * @property {boolean} is_count
 * @property {boolean} is_truth
 * @property {boolean} is_list
 * @property {boolean} takes_auto
 * @property {boolean} is_required
 */

/**
 * A key of the file.
 * @typedef {object} CatalogueKey
 * @property {string} key
 * @property {string} says
 * @property {string} holds
 * @property {string|null} dimension
 * @property {string[]} units
 * @property {string[]} choices
 * @property {string|number|null} least
 * @property {string|number|null} most
 * @property {boolean} takes_auto
 * @property {boolean} is_required
 */

/**
 * @typedef {object} Kind
 * @property {string} kind
 * @property {string} says
 * @property {string} role
 * @property {string} [symbol]
 * @property {{terminal: string, open_allowed: boolean}[]} terminals
 * @property {string[]} positions
 * @property {string|null} dial
 * @property {KindParameter[]} parameters
 */

/**
 * GET /api/kinds.
 * @typedef {object} Kinds
 * @property {Kind[]} kinds
 * @property {CatalogueKey[]} van_keys
 * @property {CatalogueKey[]} conditions_keys
 * @property {CatalogueKey[]} item_keys
 * @property {CatalogueKey[]} wire_keys
 * @property {CatalogueKey[]} decided_keys
 * @property {{[practice: string]: string[]}} sizes
 * @property {{[style: string]: string[]}} ratings
 * @property {string[]} colours
 * @property {string[]} rules
 */

/** @typedef {{name: string, label: string, in: string, default: string, defaults: {[voltage: string]: string}, choices: string[], least: string, most: string}} Ask */
/** @typedef {{id: string, title: string, says: string, asks: Ask[]}} Circuit A ready-made one. */

/**
 * One change of the file. See the editing part of the server.
 * @typedef {{do: 'put', path: string[], value: Value} | {do: 'drop', path: string[]}
 *   | {do: 'rename', path: string[], to: string} | {do: 'wire', value: Given}
 *   | {do: 'move', path: string[], to: string}} Edit
 */

/** @typedef {{path: string[], mine: unknown, theirs: unknown}} ConflictPlace */

/**
 * What became of an edit.
 * @typedef {{ok: true, revision: number, labels?: string[], added?: {items: string[], wires: string[]}}
 *   | {ok: false, status: number, error: string, faults?: Fault[], conflict?: ConflictPlace[]}} Outcome
 */

export {};
