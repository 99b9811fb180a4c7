/* Quantities in other units. */
#include "subjects.h"

#include <string.h>

/* given units of=12_ft_6_in
 * expect SI 3.81 m tolerance 0.0001 %       the value as the program holds it
 * expect shown 3.81 m                       as it is printed
 * expect dimension length; refused WHY */
answer answer_units(expect_case *c, const char *wanted)
{
    const char *text = given_text(c, 0, "of", NULL), *wrong = NULL;
    quantity q = {0};
    if (c->wrong == NULL && !quantity_parse(text, strlen(text), &q, c->arena, &wrong)) {
        if (strcmp(wanted, "refused") == 0) return answer_word(wrong);
        case_refuse(c, 0, arena_printf(c->arena, "`%s` %s", text, wrong));
    }
    if (strcmp(wanted, "SI") == 0) return answer_number(q.value, q.dimension);
    if (strcmp(wanted, "shown") == 0) return answer_word(quantity_text(q.value, q.dimension, 3, c->arena));
    if (strcmp(wanted, "dimension") == 0) return answer_word(dimension_name(q.dimension));
    return answer_unknown(c, wanted);
}
