/* `loomwall show`: what a van file says, and what is taken where it is silent; or a scene of it. */
#include "loomwall/scene.h"
#include "say.h"
#include "van.h"

static int show_scene(const lw_van *van, const char *id)
{
    char *svg = NULL, *why = NULL;
    size_t n_bytes;
    lw_status given = lw_scene_draw(van, id, NULL, &svg, &n_bytes, &why);
    int status = given == LW_OK ? say(svg, EXIT_OPEN) : complain_of(given, &why);
    lw_free(svg);
    lw_free(why);
    return status;
}

static int show_van(const arguments *arguments, const lw_van *van)
{
    char *text = NULL;
    bool is_json = is_given(arguments, OPTION_JSON);
    int status = complain_of(is_json ? lw_van_json(van, &text) : lw_van_list(van, &text), NULL);
    if (status == EXIT_OPEN) status = is_json ? say(text, EXIT_OPEN) : say_broken(arguments->arena, text, EXIT_OPEN);
    lw_free(text);
    return status;
}

int run_show(const arguments *arguments)
{
    lw_van *van = NULL;
    int status = load_van(arguments, &van);
    if (status != EXIT_OPEN) return status;
    const char *scene = argument(arguments, OPTION_SCENE);
    status = scene ? show_scene(van, scene) : show_van(arguments, van);
    lw_van_free(van);
    return status;
}
