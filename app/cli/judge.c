/* `loomwall judge`: the gates, then each finding with its number, its limit, when it is worst, whose limit it is, and
 * what would mend it. */
#include "say.h"
#include "van.h"

#include <math.h>
#include <string.h>

enum { column = 10 }; /* where the words of a finding start */

static paint grade_paint(const lw_finding *f)
{
    if (f->decided_why) return PAINT_FAINT;
    switch (f->grade) {
    case LW_STOP:
    case LW_UNPROVEN:
        return PAINT_STOP;
    case LW_MIND:
        return PAINT_MIND;
    case LW_NOTE:
        break;
    }
    return PAINT_NOTE;
}

static const char *grade_mark(const lw_finding *f)
{
    if (f->decided_why) return "DECIDED";
    switch (f->grade) {
    case LW_STOP:
        return "STOP";
    case LW_UNPROVEN:
        return "UNPROVEN";
    case LW_MIND:
        return "MIND";
    case LW_NOTE:
        break;
    }
    return "NOTE";
}

static void add_coverage(sink *s, lw_coverage c)
{
    char positions[number_room], examined[number_room];
    number_exact(c.n_positions, positions);
    number_exact(c.n_examined, examined);
    if (c.is_complete) {
        sink_printf(s, "%s switch position%s, all examined\n\n", positions, c.n_positions == 1 ? "" : "s");
        return;
    }
    sink_printf(s, "%s switch positions, of which only %s were examined: ", positions, examined);
    sink_wrapped(s, c.why_not ? c.why_not : "", 50, 0);
    sink_add(s, "\n\n");
}

static void add_gates(sink *s, const lw_judgement *j)
{
    bool is_one_shut = false;
    for (lw_gate g = LW_CUT; g < LW_N_GATES; g++) {
        lw_gate_state state = lw_judgement_gate(j, g);
        sink_printf(s, "  %-7s", lw_gate_word(g));
        sink_painted(s, state.is_open ? PAINT_OPEN : PAINT_STOP, state.is_open ? "open" : "shut");
        if (state.n_shut_by > 0) sink_printf(s, " by %d finding%s", state.n_shut_by, state.n_shut_by == 1 ? "" : "s");
        if (!state.is_open && is_one_shut) {
            sink_printf(s, "%s the gate before it is shut", state.n_shut_by > 0 ? ", and" : ":");
        }
        sink_add(s, "\n");
        is_one_shut = is_one_shut || !state.is_open;
    }
}

/* A line of a finding: "word: text", wrapped. */
static void add_line(sink *s, const char *word, const char *text)
{
    if (!text || text[0] == '\0') return;
    sink line = sink_in(s->arena);
    sink_printf(&line, "%s%s%s", word, word[0] ? ": " : "", text);
    sink_printf(s, "%*s", column, "");
    sink_wrapped(s, sink_text(&line), column, column + (word[0] ? 2 : 0));
    sink_add(s, "\n");
}

static void add_numbers(sink *s, const lw_finding *f)
{
    if (!isfinite(f->value)) return;
    sink line = sink_in(s->arena);
    char value[number_room], limit[number_room];
    const char *space = f->unit[0] ? " " : "";
    sink_printf(&line, "%s%s%s", number_short(f->value, 3, value), space, f->unit);
    if (isfinite(f->limit))
        sink_printf(&line, " against a limit of %s%s%s", number_short(f->limit, 3, limit), space, f->unit);
    add_line(s, "", sink_text(&line));
}

static void add_positions(sink *s, const lw_finding *f)
{
    sink line = sink_in(s->arena);
    for (size_t i = 0; i < f->n_positions; i++) {
        sink_printf(&line, "%s%s=%s", i == 0 ? "" : ", ", f->positions[i].item, f->positions[i].position);
    }
    add_line(s, "worst with", sink_text(&line));
}

static void add_finding(sink *s, const lw_finding *f)
{
    const char *mark = grade_mark(f);
    sink_painted(s, grade_paint(f), mark);
    sink_printf(s, "%*s", column - (int)strlen(mark), "");
    sink_painted(s, PAINT_STRONG, f->rule);
    for (size_t i = 0; i < f->n_where; i++) sink_printf(s, "%s%s", i == 0 ? ": " : ", ", f->where[i]);
    sink_add(s, "\n");
    add_line(s, "", f->says);
    add_numbers(s, f);
    add_positions(s, f);
    add_line(s, "source", f->source);
    add_line(s, "to mend", f->remedy);
    for (size_t i = 0; i < f->n_mends; i++) add_line(s, arena_printf(s->arena, "mend %zu", i + 1), f->mends[i].says);
    if (!f->decided_why) return;
    add_line(s, f->decided_date ? arena_printf(s->arena, "decided %s", f->decided_date) : "decided", f->decided_why);
}

static const char *gate_heading(lw_gate gate)
{
    switch (gate) {
    case LW_CUT:
        return "Before you cut";
    case LW_CLOSE:
        return "Before you close the wall";
    case LW_LIVE:
    case LW_N_GATES:
        break;
    }
    return "Before you go live";
}

static void add_findings(sink *s, const lw_judgement *j)
{
    int gate = -1;
    for (size_t i = 0; i < lw_judgement_count(j); i++) {
        const lw_finding *f = lw_judgement_finding(j, i);
        sink_add(s, "\n");
        if ((int)f->gate != gate) {
            gate = (int)f->gate;
            sink_painted(s, PAINT_STRONG, gate_heading(f->gate));
            sink_add(s, "\n\n");
        }
        add_finding(s, f);
    }
}

static void add_caution(sink *s)
{
    sink_add(s, "\n");
    sink_wrapped(s,
                 "These are figures calculated from the file, not an inspection of the van. Local codes and a licensed "
                 "electrician come before them. `loomwall why RULE` tells what a rule means and whose limit it is.",
                 0, 0);
    sink_add(s, "\n");
}

static int judge_status(const lw_judgement *j)
{
    for (lw_gate g = LW_CUT; g < LW_N_GATES; g++) {
        if (!lw_judgement_gate(j, g).is_open) return EXIT_SHUT;
    }
    return EXIT_OPEN;
}

static int say_as_text(const arguments *arguments, const lw_van *van, const lw_judgement *j)
{
    sink s = sink_in(arguments->arena);
    sink_painted(&s, PAINT_STRONG, lw_van_name(van));
    sink_add(&s, ": ");
    add_coverage(&s, lw_judgement_coverage(j));
    add_gates(&s, j);
    add_findings(&s, j);
    add_caution(&s);
    return say(sink_text(&s), judge_status(j));
}

static int say_as_json(const lw_judgement *j)
{
    char *json = NULL;
    lw_status given = lw_judgement_json(j, &json);
    return say_given(given, json, judge_status(j));
}

int run_judge(const arguments *arguments)
{
    lw_van *van = NULL;
    lw_judgement *judgement = NULL;
    int status = load_and_judge(arguments, &van, &judgement);
    if (status == EXIT_OPEN) {
        bool is_json = is_given(arguments, OPTION_JSON);
        status = is_json ? say_as_json(judgement) : say_as_text(arguments, van, judgement);
    }
    lw_judgement_free(judgement);
    lw_van_free(van);
    return status;
}
