/* `loomwall mend`: the remedies that can be applied as they stand, and one of them into the file. */
#include "base/json.h"
#include "loomwall/edit.h"
#include "say.h"
#include "van.h"

#include <stdlib.h>
#include <string.h>

/* ---- which ---- */

static bool is_at(const lw_finding *f, const char *where)
{
    for (size_t i = 0; i < f->n_where; i++)
        if (!strcmp(f->where[i], where)) return true;
    return false;
}

/* A number from 1 on; 0, having complained, when it is none. */
static size_t number_of(const char *text, const char *what)
{
    char *end;
    const long n = strtol(text, &end, 10);
    if (end != text && !*end && n >= 1) return (size_t)n;
    complain("`%s` is not the number of a %s; `loomwall mend FILE` lists them", text, what);
    return 0;
}

static bool is_chosen(const arguments *arguments)
{
    return is_given(arguments, OPTION_FINDING) || is_given(arguments, OPTION_RULE) || is_given(arguments, OPTION_WHERE);
}

/* The finding that is meant; NULL, having complained. */
static const lw_finding *chosen_finding(const arguments *arguments, const lw_judgement *j)
{
    const char *number = argument(arguments, OPTION_FINDING), *rule = argument(arguments, OPTION_RULE);
    const char *where = argument(arguments, OPTION_WHERE);
    if (number) {
        const size_t n = number_of(number, "finding");
        if (n > lw_judgement_count(j)) complain("there are %zu findings, and no number %zu", lw_judgement_count(j), n);
        return n && n <= lw_judgement_count(j) ? lw_judgement_finding(j, n - 1) : NULL;
    }
    for (size_t i = 0; i < lw_judgement_count(j); i++) {
        const lw_finding *f = lw_judgement_finding(j, i);
        if (f->n_mends && (!rule || !strcmp(f->rule, rule)) && (!where || is_at(f, where))) return f;
    }
    complain("no finding%s%s%s%s can be mended as it stands; `loomwall mend FILE` lists those that can",
             rule ? " of " : "", rule ? rule : "", where ? " at " : "", where ? where : "");
    return NULL;
}

static const lw_mend *chosen_mend(const arguments *arguments, const lw_finding *f)
{
    const char *number = argument(arguments, OPTION_MEND);
    const size_t n = number ? number_of(number, "mend") : 1;
    if (!n || n <= f->n_mends) return n ? &f->mends[n - 1] : NULL;
    if (f->n_mends)
        complain("the finding has %zu mend%s, and no number %zu", f->n_mends, f->n_mends == 1 ? "" : "s", n);
    else
        complain("the finding can't be mended as it stands; `loomwall judge` says what would");
    return NULL;
}

/* ---- the list ---- */

static int list_as_text(const arguments *arguments, const lw_judgement *j)
{
    sink s = sink_in(arguments->arena);
    for (size_t i = 0; i < lw_judgement_count(j); i++) {
        const lw_finding *f = lw_judgement_finding(j, i);
        if (!f->n_mends) continue;
        sink_printf(&s, "finding %zu: %s: ", i + 1, f->rule);
        sink_words(&s, f->where, f->n_where);
        sink_add(&s, "\n");
        for (size_t m = 0; m < f->n_mends; m++) sink_printf(&s, "  mend %zu: %s\n", m + 1, f->mends[m].says);
    }
    if (!*sink_text(&s)) return say("No finding of this van can be mended as it stands.\n", EXIT_OPEN);
    sink_printf(&s, "\nTo apply one: loomwall mend %s --finding N --mend M --write\n", arguments->operands[0]);
    return say_broken(arguments->arena, sink_text(&s), EXIT_OPEN);
}

static int list_as_json(const arguments *arguments, const lw_judgement *j)
{
    sink s = sink_in(arguments->arena);
    bool is_first = true;
    sink_add(&s, "{\"findings\": [");
    for (size_t i = 0; i < lw_judgement_count(j); i++) {
        const lw_finding *f = lw_judgement_finding(j, i);
        if (!f->n_mends) continue;
        sink_printf(&s, "%s\n  {\"finding\": %zu, \"rule\": \"%s\", \"where\": ", is_first ? "" : ",", i + 1, f->rule);
        json_words(&s, f->where, (int)f->n_where);
        sink_add(&s, ", \"mends\": [");
        for (size_t m = 0; m < f->n_mends; m++) {
            if (m) sink_add(&s, ", ");
            json_text(&s, f->mends[m].says);
        }
        sink_add(&s, "]}");
        is_first = false;
    }
    sink_add(&s, "]}\n");
    return say(sink_text(&s), EXIT_OPEN);
}

/* ---- one of them ---- */

static int tell(const arguments *arguments, const lw_mend *m, const lw_edited *e)
{
    const bool is_written = is_given(arguments, OPTION_WRITE);
    const char *file = arguments->operands[0];
    sink s = sink_in(arguments->arena);
    if (is_given(arguments, OPTION_JSON)) {
        sink_add(&s, "{\"says\": ");
        json_text(&s, m->says);
        sink_add(&s, ", \"labels\": ");
        json_words(&s, e->labels, (int)e->n_labels);
        sink_add(&s, ", \"written\": ");
        json_truth(&s, is_written);
        sink_add(&s, "}\n");
        return say(sink_text(&s), EXIT_OPEN);
    }
    sink_printf(&s, "%s: %s.", file, m->says);
    if (e->n_labels) {
        sink_add(&s, " Its label is ");
        sink_words(&s, e->labels, e->n_labels);
        sink_add(&s, ".");
    }
    if (is_written)
        sink_printf(&s, "\nWritten. Now see what else there is: loomwall judge %s\n", file);
    else
        sink_add(&s, "\nNothing is written without `--write`.\n");
    return say(sink_text(&s), EXIT_OPEN);
}

static int apply(const arguments *arguments, const lw_van *van, const lw_judgement *j)
{
    const lw_finding *f = chosen_finding(arguments, j);
    const lw_mend *m = f ? chosen_mend(arguments, f) : NULL;
    if (!m) return EXIT_UNREAD;
    lw_edited edited = {0};
    const lw_status given = lw_van_edit(van, m->edits, m->n_edits, &edited);
    int status = given == LW_OK ? write_back(arguments, van, edited.text) : complain_of_edit(&edited, given);
    if (status == EXIT_OPEN) status = tell(arguments, m, &edited);
    lw_edited_finish(&edited);
    return status;
}

int run_mend(const arguments *arguments)
{
    lw_van *van = NULL;
    lw_judgement *judgement = NULL;
    int status = load_and_judge(arguments, &van, &judgement);
    if (status == EXIT_OPEN && is_chosen(arguments))
        status = apply(arguments, van, judgement);
    else if (status == EXIT_OPEN)
        status =
            is_given(arguments, OPTION_JSON) ? list_as_json(arguments, judgement) : list_as_text(arguments, judgement);
    lw_judgement_free(judgement);
    lw_van_free(van);
    return status;
}
