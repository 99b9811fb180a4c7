/* See ends.h. */
#include "sheets/ends.h"

#include <string.h>

const char *end_fitting(const van *v, int t)
{
    const terminal *at = &v->terminals[t];
    const char *fitting = item_kind(v, at->item)->terminals[at->template_index].fitting;
    return fitting ? fitting : "";
}

/* "M8 stud" -> "M8 ring terminal": the name of the size stays, the word for the joint changes. */
static const char *with_word(const book *b, const char *fitting, const char *from, const char *to)
{
    const char *at = strstr(fitting, from);
    return at ? arena_printf(b->arena, "%s%s", arena_text_n(b->arena, fitting, (size_t)(at - fitting)), to) : NULL;
}

const char *end_part(const book *b, int t)
{
    const char *fitting = end_fitting(b->van, t), *part;
    if ((part = with_word(b, fitting, "stud", "ring terminal"))) return part;
    if ((part = with_word(b, fitting, "tab", "push-on terminal"))) return part;
    if (strcmp(fitting, "screw") == 0) return "end sleeve";
    if (strcmp(fitting, "crimp") == 0) return "splice, a way";
    return "terminal to suit";
}

const char *wire_colour(const van *v, int w) { return v->wires[w].colour ? v->wires[w].colour : "no colour given"; }

const char *wire_length_text(const book *b, int w)
{
    const wire *at = &b->van->wires[w];
    char text[number_room];
    return at->is_length_auto ? "" : arena_text(b->arena, number_short(at->length_m, 4, text));
}
