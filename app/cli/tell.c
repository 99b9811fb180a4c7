/* `loomwall kinds`, `why` and `schema`: what the program knows. */
#include "loomwall/tell.h"
#include "say.h"
#include "van.h"

/* Says a text that the library gave, or complains with it. */
static int say_told(lw_status status, char *text)
{
    int exit_status = status == LW_OK ? say(text, EXIT_OPEN) : complain_of(status, &text);
    lw_free(text);
    return exit_status;
}

static int say_about(const arguments *arguments, lw_status (*tell)(const char *, lw_form, char **))
{
    char *text = NULL;
    const char *name = arguments->n_operands > 0 ? arguments->operands[0] : NULL;
    bool is_json = is_given(arguments, OPTION_JSON);
    lw_status status = tell(name, is_json ? LW_JSON : LW_TEXT, &text);
    if (status != LW_OK || is_json) return say_told(status, text);
    int exit_status = say_broken(arguments->arena, text, EXIT_OPEN);
    lw_free(text);
    return exit_status;
}

int run_kinds(const arguments *arguments) { return say_about(arguments, lw_kinds); }

int run_why(const arguments *arguments) { return say_about(arguments, lw_why); }

int run_schema(const arguments *arguments)
{
    (void)arguments;
    char *text = NULL;
    lw_status status = lw_schema(&text);
    return say_told(status, text);
}
