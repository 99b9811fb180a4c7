/* One request with its answer. See call.h. */
#include "call.h"

#include <limits.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

void answer_bytes(call *c, const char *type, const char *bytes, size_t n)
{
    c->answer = (answer){.status = 200, .type = type, .bytes = bytes, .n = n};
}

void answer_json(call *c, unsigned status, const sink *json)
{
    answer_bytes(c, "application/json", sink_text(json), json->n);
    c->answer.status = status;
}

void answer_error(call *c, unsigned status, const char *format, ...)
{
    va_list list;
    va_start(list, format);
    va_list again;
    va_copy(again, list);
    int n = vsnprintf(NULL, 0, format, list);
    va_end(list);
    char *words = arena_take(c->arena, n < 0 ? 1 : (size_t)n + 1, 1);
    if (n > 0) vsnprintf(words, (size_t)n + 1, format, again);
    va_end(again);
    sink s = sink_in(c->arena);
    sink_add(&s, "{\"error\": ");
    json_text(&s, words);
    sink_add(&s, "}");
    answer_json(c, status, &s);
}

/* --- what is asked --- */

enum { most_deep = 32 };

static bool is_shallow(const json_t *value, int room)
{
    if (room == 0) return false;
    const char *key;
    size_t i;
    json_t *part;
    json_object_foreach((json_t *)value, key, part) if (!is_shallow(part, room - 1)) return false;
    json_array_foreach(value, i, part) if (!is_shallow(part, room - 1)) return false;
    return true;
}

static void release(void *object) { json_decref(object); }

json_t *ask_object(call *c)
{
    json_error_t error;
    json_t *object = json_loadb(c->body, c->n_body, JSON_REJECT_DUPLICATES, &error);
    if (object) arena_defer(c->arena, release, object);
    if (!object) {
        answer_error(c, 400, "the body is not JSON: %s (line %d, column %d); send one object", error.text, error.line,
                     error.column);
    } else if (!json_is_object(object)) {
        answer_error(c, 400, "the body is not a JSON object; send one");
    } else if (!is_shallow(object, most_deep)) {
        answer_error(c, 400, "the body is nested more than %d deep; send less in one", most_deep);
    } else {
        return object;
    }
    return NULL;
}

bool ask_only(call *c, const json_t *object, const char *const *known)
{
    const char *key;
    json_t *value;
    json_object_foreach((json_t *)object, key, value)
    {
        int n = 0;
        while (known[n] && strcmp(known[n], key) != 0) n++;
        if (known[n]) continue;
        int nearest = nearest_word(key, known, n);
        if (nearest >= 0)
            answer_error(c, 400, "`%s` is not asked here; did you mean `%s`?", key, known[nearest]);
        else
            answer_error(c, 400, "`%s` is not asked here; leave it out", key);
        return false;
    }
    return true;
}

bool ask_text(call *c, const json_t *object, const char *key, const char *otherwise, const char **out)
{
    const json_t *value = json_object_get(object, key);
    *out = value ? json_string_value(value) : otherwise;
    if (!*out) answer_error(c, 400, "`%s` is missing or no text; give it as a string", key);
    return *out;
}

bool ask_text_or_null(call *c, const json_t *object, const char *key, const char **out)
{
    const json_t *value = json_object_get(object, key);
    *out = NULL;
    return !value || json_is_null(value) || ask_text(c, object, key, NULL, out);
}

bool ask_count(call *c, const json_t *object, const char *key, unsigned *out)
{
    const json_t *value = json_object_get(object, key);
    json_int_t count = json_integer_value(value);
    if (json_is_integer(value) && count >= 0 && count <= UINT_MAX) {
        *out = (unsigned)count;
        return true;
    }
    answer_error(c, 400, "`%s` is missing or no count; give it as a whole number", key);
    return false;
}

bool ask_truth(call *c, const json_t *object, const char *key, bool otherwise, bool *out)
{
    const json_t *value = json_object_get(object, key);
    *out = value ? json_is_true(value) : otherwise;
    if (!value || json_is_boolean(value)) return true;
    answer_error(c, 400, "`%s` is neither true nor false; give one of them", key);
    return false;
}
