/* `loomwall edit`: changes of a van file, named one by one, with every other byte left as it is. */
#include "loomwall/edit.h"
#include "say.h"
#include "van.h"

#include <stdlib.h>
#include <string.h>

/* The edits that were asked, in the order in which they are made. */
typedef struct asked_edits {
    arena *arena;
    ARRAY(lw_edit) edits;
} asked_edits;

static void release_value(void *parsed) { lw_value_free(parsed); }

/* The keys between the dots; a dot that belongs to a key has a backslash in front. */
static void take_path(arena *a, const char *text, lw_edit *edit)
{
    ARRAY(const char *) keys = {0};
    sink key = sink_in(a);
    for (;; text++) {
        if (*text == '\\' && text[1] == '.') {
            sink_add_n(&key, ++text, 1);
        } else if (*text == '.' || *text == '\0') {
            *ARRAY_ADD(a, &keys) = sink_text(&key);
            key = sink_in(a);
            if (*text == '\0') break;
        } else {
            sink_add_n(&key, text, 1);
        }
    }
    edit->path = keys.at;
    edit->n_path = keys.n;
}

static bool take_value(arena *a, const char *text, lw_edit *edit)
{
    lw_parsed_value *parsed = NULL;
    lw_status status = lw_value_parse(text, &parsed);
    if (status != LW_OK) {
        complain("`%s` can't be read as a value; write a text, [value, value] or {key: value}, and close every bracket",
                 text);
        return false;
    }
    arena_defer(a, release_value, parsed);
    edit->value = lw_value_get(parsed);
    return true;
}

/* How a verb that takes something behind an equals sign is written; NULL: it takes none. */
static const char *const pairs[LW_N_EDIT_VERBS] = {
    [LW_EDIT_PUT] = "PATH=VALUE, as `wires.P3.size=10 AWG`",
    [LW_EDIT_RENAME] = "PATH=ID, as `items.pump=tank-pump`",
    [LW_EDIT_MOVE] = "PATH=BEFORE, as `items.pump=fan`",
};

/* PATH=VALUE, or a path or a value alone. */
static bool take_edit(asked_edits *asked, lw_verb verb, const char *word)
{
    lw_edit edit = {.verb = verb};
    const char *equals = strchr(word, '=');
    if (pairs[verb] && !equals) {
        complain("`%s` says no value; write %s", word, pairs[verb]);
        return false;
    }
    if (verb != LW_EDIT_WIRE) {
        const char *path = pairs[verb] ? arena_text_n(asked->arena, word, (size_t)(equals - word)) : word;
        take_path(asked->arena, path, &edit);
    }
    if (verb == LW_EDIT_RENAME || verb == LW_EDIT_MOVE) edit.to = equals + 1;
    const char *value = verb == LW_EDIT_PUT ? equals + 1 : verb == LW_EDIT_WIRE ? word : NULL;
    if (value && !take_value(asked->arena, value, &edit)) return false;
    *ARRAY_ADD(asked->arena, &asked->edits) = edit;
    return true;
}

static bool take_all(const arguments *arguments, asked_edits *asked)
{
    static const struct {
        option option;
        lw_verb verb;
    } order[] = {{OPTION_RENAME, LW_EDIT_RENAME},
                 {OPTION_PUT, LW_EDIT_PUT},
                 {OPTION_WIRE, LW_EDIT_WIRE},
                 {OPTION_MOVE, LW_EDIT_MOVE},
                 {OPTION_DROP, LW_EDIT_DROP}};
    for (size_t i = 0; i < sizeof order / sizeof order[0]; i++)
        for (int k = 0; k < arguments->n_values[order[i].option]; k++)
            if (!take_edit(asked, order[i].verb, arguments->values[order[i].option][k])) return false;
    if (asked->edits.n > 0) return true;
    complain("no edit is given; name one with --put, --drop, --rename, --wire or --move");
    return false;
}

static int give(const arguments *arguments, const lw_van *van, const lw_edited *edited)
{
    size_t n_bytes;
    const char *old = lw_van_text(van, &n_bytes), *file = arguments->operands[0];
    bool is_written = is_given(arguments, OPTION_WRITE), is_changed = strcmp(old, edited->text) != 0;
    int status = write_back(arguments, van, edited->text);
    if (status != EXIT_OPEN) return status;
    if (is_given(arguments, OPTION_JSON)) {
        char *json = NULL;
        lw_status given = lw_edited_json(edited, is_changed, is_written, &json);
        return say_given(given, json, EXIT_OPEN);
    }
    if (!is_written) return say(edited->text, EXIT_OPEN);
    sink s = sink_in(arguments->arena);
    for (size_t i = 0; i < edited->n_labels; i++) sink_printf(&s, "New wire: %s\n", edited->labels[i]);
    sink_printf(&s, is_changed ? "Written to %s.\n" : "Nothing to change in %s.\n", file);
    return say(sink_text(&s), EXIT_OPEN);
}

int run_edit(const arguments *arguments)
{
    asked_edits asked = {.arena = arguments->arena};
    if (!take_all(arguments, &asked)) return EXIT_UNREAD;
    lw_van *van = NULL;
    int status = load_van(arguments, &van);
    if (status != EXIT_OPEN) return status;
    lw_edited edited = {0};
    lw_status made = lw_van_edit(van, asked.edits.at, asked.edits.n, &edited);
    status = made == LW_OK ? give(arguments, van, &edited) : complain_of_edit(&edited, made);
    lw_edited_finish(&edited);
    lw_van_free(van);
    return status;
}
