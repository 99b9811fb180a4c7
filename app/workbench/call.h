/* One request with its answer, as the routes see it: taken in whole before they are called, answered whole by them. What a
 * route allocates lives in the call's arena. */
#ifndef WORKBENCH_CALL_H
#define WORKBENCH_CALL_H

#include "base/json.h"
#include <jansson.h>

typedef struct workbench workbench;

typedef struct answer {
    unsigned status;
    const char *type, *bytes;
    size_t n;
    const char *allow; /* with 405: the methods that would do */
} answer;

typedef struct call {
    workbench *workbench;
    arena *arena;
    const char *rest;  /* of the path, behind the route's prefix; "" if nothing */
    const char *paper; /* asked for behind the path; NULL when it is not */
    const char *body;  /* with a NUL behind it */
    size_t n_body;
    answer answer;
} call;

/* --- answers --- */

/* JSON that was written into a sink of the call's arena. */
void answer_json(call *c, unsigned status, const sink *json);
/* {"error": "..."}: what is wrong, and what would be right. */
void answer_error(call *c, unsigned status, const char *format, ...) __attribute__((format(printf, 3, 4)));
/* Bytes in the call's arena. */
void answer_bytes(call *c, const char *type, const char *bytes, size_t n);

/* --- what is asked --- */

/* The body as a JSON object (RFC 8259) without duplicate keys; released with the arena. NULL, having answered 400. */
json_t *ask_object(call *c);
/* False, having answered 400, when the object has a key that is not in the list, which ends with NULL. */
bool ask_only(call *c, const json_t *object, const char *const *known);
/* A value of the object. False, having answered 400, when it is of another type, or missing: one that may be missing has a
 * default, which is not NULL. For `or_null`, *out is NULL when it is missing or null. */
bool ask_text(call *c, const json_t *object, const char *key, const char *otherwise, const char **out);
bool ask_text_or_null(call *c, const json_t *object, const char *key, const char **out);
bool ask_count(call *c, const json_t *object, const char *key, unsigned *out);
bool ask_truth(call *c, const json_t *object, const char *key, bool otherwise, bool *out);

#endif
