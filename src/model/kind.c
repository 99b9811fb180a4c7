/* Looking things up in a kind. */
#include "model/kind.h"

#include <string.h>

#define WORDS(name, LIST)                                                                                              \
    const char *name##_word(name x)                                                                                    \
    {                                                                                                                  \
        static const char *const words[] = {LIST(WORD)};                                                               \
        return words[x];                                                                                               \
    }
#define WORD(NAME, word) word,
WORDS(element_type, ELEMENTS)
WORDS(element_key, ELEMENT_KEYS)
WORDS(role, ROLES)

int kind_parameter(const kind *k, const char *name)
{
    for (int i = 0; i < k->n_parameters; i++)
        if (strcmp(k->parameters[i].name, name) == 0) return i;
    return -1;
}

int kind_position(const kind *k, const char *name)
{
    for (int i = 0; i < k->n_positions; i++)
        if (strcmp(k->positions[i], name) == 0) return i;
    return -1;
}

int kind_coil(const kind *k)
{
    for (int e = 0; e < k->n_elements; e++)
        if (k->elements[e].type == ELEMENT_COIL) return e;
    return -1;
}
