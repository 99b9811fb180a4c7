/* `loomwall label`: what the wires without a label would be called, and, when asked, those labels into the file. */
#include "loomwall/label.h"
#include "say.h"
#include "van.h"

#include <string.h>

/* The edit is made even when it is not to be written, if what stands against it is what was asked. */
static int edit(const arguments *arguments, const lw_van *van)
{
    const char *label = argument(arguments, OPTION_RETIRE);
    bool is_written = is_given(arguments, OPTION_WRITE);
    if (!label && !is_written) return EXIT_OPEN;
    char *text = NULL;
    lw_status given = label ? lw_label_retire(van, label, &text) : lw_label_wires(van, &text);
    int status = complain_of(given, &text);
    if (status == EXIT_OPEN) status = write_back(arguments, van, text);
    lw_free(text);
    return status;
}

static void add_proposals(sink *s, const lw_van *van, const char *file, bool is_written)
{
    size_t n = lw_van_n_proposals(van), width = 0;
    for (size_t i = 0; i < n; i++) {
        size_t length = strlen(lw_van_proposal(van, i).label);
        if (length > width) width = length;
    }
    for (size_t i = 0; i < n; i++) {
        lw_proposal p = lw_van_proposal(van, i);
        sink_printf(s, "%-*s  %s to %s\n", (int)width, p.label, p.from, p.to);
    }
    if (n == 0)
        sink_printf(s, "Every wire of %s has its label.\n", file);
    else if (is_written)
        sink_printf(s, "\nWritten to %s: these labels stand now, for life.\n", file);
    else
        sink_printf(s, "\nProposed, and free to change until they stand in the file: loomwall label %s --write\n",
                    file);
}

static void add_retired(sink *s, const char *label, const char *file, bool is_written)
{
    if (is_written)
        sink_printf(s, "%s is retired in %s: no wire can have it again.\n", label, file);
    else
        sink_printf(s, "%s can be retired: loomwall label %s --retire %s --write\n", label, file, label);
}

static int tell(const arguments *arguments, const lw_van *van)
{
    const char *label = argument(arguments, OPTION_RETIRE), *file = arguments->operands[0];
    bool is_written = is_given(arguments, OPTION_WRITE);
    if (is_given(arguments, OPTION_JSON)) {
        char *json = NULL;
        lw_status given = lw_label_json(van, label, is_written, &json);
        return say_given(given, json, EXIT_OPEN);
    }
    sink s = sink_in(arguments->arena);
    if (label)
        add_retired(&s, label, file, is_written);
    else
        add_proposals(&s, van, file, is_written);
    return say(sink_text(&s), EXIT_OPEN);
}

int run_label(const arguments *arguments)
{
    lw_van *van = NULL;
    int status = load_van(arguments, &van);
    if (status == EXIT_OPEN) status = edit(arguments, van);
    if (status == EXIT_OPEN) status = tell(arguments, van);
    lw_van_free(van);
    return status;
}
