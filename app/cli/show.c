/* `loomwall show`: what a van file says, and what is taken where it is silent. */
#include "loomwall/van.h"
#include "say.h"
#include "van.h"

int run_show(const arguments *arguments)
{
    lw_van *van = NULL;
    int status = load_van(arguments, &van);
    if (status != EXIT_OPEN) return status;
    char *text = NULL;
    bool is_json = is_given(arguments, OPTION_JSON);
    status = complain_of(is_json ? lw_van_json(van, &text) : lw_van_list(van, &text), NULL);
    if (status == EXIT_OPEN) status = is_json ? say(text, EXIT_OPEN) : say_broken(arguments->arena, text, EXIT_OPEN);
    lw_free(text);
    lw_van_free(van);
    return status;
}
