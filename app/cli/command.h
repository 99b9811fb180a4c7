/* The commands: one table makes the dispatch, the usage and the suggestions. Each command is one function that reads its
 * arguments, asks the library, and writes; it returns the exit status. */
#ifndef CLI_COMMAND_H
#define CLI_COMMAND_H

#include "base/print.h"

/* What the exit status says. docs/van-file.md fixes the first three for `judge`. */
enum { EXIT_OPEN = 0, EXIT_SHUT = 1, EXIT_UNREAD = 2, EXIT_FAILED = 3 };

/* X(NAME, word, what stands for its value or NULL for none, says) */
#define OPTIONS(X)                                                                                                     \
    X(JSON, "--json", NULL, "print JSON for other programs")                                                           \
    X(SET, "--set", "ITEM=POSITION", "stand an item in a position; may be given many times")                           \
    X(AMBIENT, "--ambient", "T", "temperature of all conductors, such as 45degC (20 degC if not given)")               \
    X(CHARGE, "--charge", "P", "charge of the batteries, such as 50% (80 % if not given)")                             \
    X(AGAINST, "--against", "ITEM.TERMINAL", "measure voltages against this terminal")                                 \
    X(OUT, "--out", "FOLDER", "folder to write to; it is made if it is not there")                                     \
    X(ONLY, "--only", "SHEET", "write this sheet alone")                                                               \
    X(SCENE, "--scene", "SCENE", "print one scene for the screen as SVG: diagram, front-PANEL, back-PANEL")            \
    X(BOOK, "--book", NULL, "write the build book alone")                                                              \
    X(PAPER, "--paper", "PAPER", "a4 or letter (as the practice has it if not given)")                                 \
    X(DATE, "--date", "YYYY-MM-DD", "date printed on the sheets (today if not given)")                                 \
    X(PRACTICE, "--practice", "P", "north-america or europe")                                                          \
    X(VOLTAGE, "--voltage", "V", "of the battery: 12V or 24V")                                                         \
    X(NAME, "--name", "N", "of the van")                                                                               \
    X(CHEMISTRY, "--chemistry", "C", "of the battery: lfp, agm, flooded or gel")                                       \
    X(CAPACITY, "--capacity", "Q", "of the battery, such as 200Ah")                                                    \
    X(BATTERY_DISTANCE, "--battery-distance", "L", "run from the battery to the fuse block, such as 2m")               \
    X(CIRCUIT, "--circuit", "CIRCUIT[:COUNT]", "a ready-made circuit to start with; may be given many times")          \
    X(ANSWER, "--answer", "NAME=VALUE", "what a circuit asks; may be given many times")                                \
    X(RULE, "--rule", "RULE", "mend a finding of this rule")                                                           \
    X(WHERE, "--where", "PLACE", "mend a finding at this place, such as `wire P3`")                                    \
    X(FINDING, "--finding", "N", "mend this finding of the list")                                                      \
    X(MEND, "--mend", "M", "which of its mends (the first if not given)")                                              \
    X(PUT, "--put", "PATH=VALUE",                                                                                      \
      "a value, as wires.P3.size='10 AWG'; a key that is not there is added; may be given many times")                 \
    X(DROP, "--drop", "PATH", "take out an entry, with what names it, as items.pump; may be given many times")         \
    X(RENAME, "--rename", "PATH=ID", "another id for an item, wherever it is named; may be given many times")          \
    X(WIRE, "--wire", "WIRE", "one more wire, as '{from: a.b, to: c.d}'; may be given many times")                     \
    X(MOVE, "--move", "PATH=BEFORE",                                                                                   \
      "an entry before another of its mapping, as items.pump=fan; may be given many times")                            \
    X(WRITE, "--write", NULL, "change the file; without it, only tell what would change")                              \
    X(RETIRE, "--retire", "LABEL", "note that a label was given once and its wire is gone")                            \
    X(THREADS, "--threads", "N", "how many to use, 1 to 16; the answer does not depend on it")                         \
    X(NO_BROWSER, "--no-browser", NULL, "only print the address")                                                      \
    X(PORT, "--port", "N", "port to serve on (any that is free if not given)")                                         \
    X(COLOR, "--color", "WHEN", "auto (on a terminal), always or never")                                               \
    X(HELP, "--help", NULL, "how to use the command")
typedef enum option {
#define X(NAME, word, value, says) OPTION_##NAME,
    OPTIONS(X)
#undef X
        N_OPTIONS
} option;
#define TAKES(NAME) (1ULL << OPTION_##NAME)

/* X(name, operands, least, most, options besides --color and --help, says) */
#define COMMANDS(X)                                                                                                    \
    X(open, "[FILE]", 0, 1, TAKES(NO_BROWSER) | TAKES(PORT), "the address of a page to draw up and try the van on")    \
    X(judge, "FILE", 1, 1, TAKES(JSON) | TAKES(THREADS), "what stops you before you cut, close and go live")           \
    X(show, "FILE", 1, 1, TAKES(JSON) | TAKES(SCENE), "what a van file says, and what is taken where it is silent")    \
    X(meter, "FILE", 1, 1, TAKES(SET) | TAKES(AMBIENT) | TAKES(CHARGE) | TAKES(AGAINST) | TAKES(JSON),                 \
      "volts and amperes in the switch positions that you name")                                                       \
    X(sheets, "FILE", 1, 1, TAKES(OUT) | TAKES(ONLY) | TAKES(BOOK) | TAKES(PAPER) | TAKES(DATE) | TAKES(THREADS),      \
      "the drawings and lists to build from")                                                                          \
    X(label, "FILE", 1, 1, TAKES(WRITE) | TAKES(RETIRE) | TAKES(JSON), "labels for the wires that have none")          \
    X(edit, "FILE", 1, 1,                                                                                              \
      TAKES(PUT) | TAKES(DROP) | TAKES(RENAME) | TAKES(WIRE) | TAKES(MOVE) | TAKES(WRITE) | TAKES(JSON),               \
      "a van file with changes, and all else as it was")                                                               \
    X(kinds, "[NAME]", 0, 1, TAKES(JSON), "the kinds of item, or one of them")                                         \
    X(why, "[RULE]", 0, 1, TAKES(JSON), "the rules, or what one of them means")                                        \
    X(schema, "", 0, 0, 0, "the JSON Schema of the van file, for editors")                                             \
    X(new, "[FILE]", 0, 1,                                                                                             \
      TAKES(PRACTICE) | TAKES(VOLTAGE) | TAKES(NAME) | TAKES(CHEMISTRY) | TAKES(CAPACITY) | TAKES(BATTERY_DISTANCE) |  \
          TAKES(CIRCUIT) | TAKES(ANSWER),                                                                              \
      "a commented van file to start from")                                                                            \
    X(mend, "FILE", 1, 1,                                                                                              \
      TAKES(RULE) | TAKES(WHERE) | TAKES(FINDING) | TAKES(MEND) | TAKES(WRITE) | TAKES(JSON) | TAKES(THREADS),         \
      "remedies that can be applied as they stand")                                                                    \
    X(add, "FILE [CIRCUIT]", 1, 2, TAKES(ANSWER) | TAKES(WRITE) | TAKES(JSON), "a ready-made circuit into a van file") \
    X(help, "[COMMAND]", 0, 1, 0, "how to use a command")                                                              \
    X(version, "", 0, 0, 0, "which version this is")

/* A command line, taken apart. */
typedef struct arguments {
    arena *arena;
    const char **operands;
    int n_operands;
    const char **values[N_OPTIONS]; /* of each option, in order; a flag has "" */
    int n_values[N_OPTIONS];
} arguments;

/* The last value of an option, or NULL. */
const char *argument(const arguments *arguments, option option);
bool is_given(const arguments *arguments, option option);

#define X(name, operands, least, most, options, says) int run_##name(const arguments *arguments);
COMMANDS(X)
#undef X

#endif
