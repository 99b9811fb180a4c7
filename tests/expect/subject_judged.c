/* One circuit as the judge sees it: a battery, a fuse, a switch, a load, and back; all of one size of conductor. */
#include "judge/judge.h"
#include "read/read.h"

#include "subjects.h"

#include <math.h>
#include <string.h>

static const char *van_text(expect_case *c)
{
    const char *more = arena_printf(c->arena, "size: %s, insulation: %s, bundled: %s, engine-space: %s, sheathed: %s",
                                    given_text(c, 0, "size", NULL), given_text(c, 0, "insulation", "105 degC"),
                                    given_text(c, 0, "bundled", "1"), given_text(c, 0, "engine-space", "false"),
                                    given_text(c, 0, "sheathed", "false"));
    return arena_printf(c->arena,
                        "loomwall: 1\nname: Case\npractice: %s\nconditions: {hottest: %s, coldest: 0 degC}\nitems:\n"
                        "  bank: {kind: battery, capacity: 100 Ah, voltage: %s, resistance: 10 mohm}\n"
                        "  fuse: {kind: fuse, style: class-t, rating: %s}\n"
                        "  switch: {kind: switch, rating: 500 A}\n"
                        "  load: {kind: load, draws: %s, critical: %s}\n"
                        "wires:\n"
                        "  P1: {from: bank.pos, to: fuse.in, length: %s, %s}\n"
                        "  P2: {from: fuse.out, to: switch.feed, length: 0.1 m, %s}\n"
                        "  P3: {from: switch.out, to: load.pos, length: %s, %s}\n"
                        "  N1: {from: load.neg, to: bank.neg, length: 0.1 m, %s}\n",
                        given_text(c, 0, "practice", "north-america"), given_text(c, 0, "hottest", "30 degC"),
                        given_text(c, 0, "voltage", "12 V"), given_text(c, 0, "fuse", "15 A"),
                        given_text(c, 0, "draws", "1 A"), given_text(c, 0, "critical", "false"),
                        given_text(c, 0, "to-fuse", "0.1 m"), more, more, given_text(c, 0, "length", "1 m"), more,
                        more);
}

static const char *grade_of(const judgement *j, int which)
{
    static const char *const words[] = {
#define X(NAME, word) [GRADE_##NAME] = word,
        GRADES(X)
#undef X
    };
    for (int i = 0; i < j->n_findings; i++)
        if (j->findings[i].rule == which) return words[j->findings[i].grade];
    return "none";
}

/* given judged size=12_AWG [practice= hottest= voltage= fuse= draws= critical= to-fuse= length= insulation= bundled=
 *              engine-space= sheathed=]
 * expect ampacity, temperature (of P3), drop (of the load); or the id of a rule: its grade, or none */
answer answer_judged(expect_case *c, const char *wanted)
{
    const char *text = van_text(c);
    if (c->wrong != NULL) return answer_number(NAN, DIMENSION_NUMBER);
    report *r = report_create(c->arena, "case");
    const van *v = read_van(c->arena, "case", text, strlen(text), r);
    if (v == NULL) {
        case_refuse(c, 0, report_text(r, c->arena));
        return answer_number(NAN, DIMENSION_NUMBER);
    }
    const study *s = study_run(c->arena, v, NULL);
    const wire_study *longest = &s->wires[van_wire(v, "P3")];
    if (strcmp(wanted, "ampacity") == 0) return answer_number(longest->ampacity_A, DIMENSION_CURRENT);
    if (strcmp(wanted, "temperature") == 0) return answer_number(longest->temperature_K, DIMENSION_TEMPERATURE);
    if (strcmp(wanted, "drop") == 0) return answer_number(s->loads[0].drop, DIMENSION_FRACTION);
    const int which = rule_by_id(wanted);
    return which < 0 ? answer_unknown(c, wanted) : answer_word(grade_of(judge(c->arena, s), which));
}
