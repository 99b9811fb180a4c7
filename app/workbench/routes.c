/* What can be asked. See routes.h. */
#include "routes.h"
#include "inside.h"

#include <string.h>

enum { no_body = 0, short_body = 64 * 1024, edit_body = 1 << 20, text_body = 4 << 20 };

static const route routes[] = {
    {"GET", "/api/van", no_body, route_van},
    {"GET", "/api/kinds", no_body, route_kinds},
    {"GET", "/api/why/", no_body, route_why},
    {"POST", "/api/meter", short_body, route_meter},
    {"GET", "/api/judgement", no_body, route_judgement},
    {"GET", "/api/scenes", no_body, route_scenes},
    {"GET", "/api/scene/", no_body, route_scene},
    {"GET", "/api/sheets", no_body, route_sheets},
    {"GET", "/api/sheet/", no_body, route_sheet},
    {"GET", "/api/book.pdf", no_body, route_book},
    {"POST", "/api/edit", edit_body, route_edit},
    {"POST", "/api/mend", short_body, route_mend},
    {"POST", "/api/undo", short_body, route_undo},
    {"POST", "/api/redo", short_body, route_redo},
    {"GET", "/api/text", no_body, route_text},
    {"POST", "/api/text", text_body, route_text_put},
    {"GET", "/api/circuits", no_body, route_circuits},
    {"POST", "/api/circuit", short_body, route_circuit},
    {"POST", "/api/start", short_body, route_start},
    {"GET", "/api/events", no_body, NULL},
};
enum { n_routes = sizeof routes / sizeof routes[0] };

static bool is_at(const route *r, const char *path, const char **rest)
{
    size_t n = strlen(r->path);
    bool takes_more = r->path[n - 1] == '/';
    *rest = path + n;
    return strncmp(r->path, path, n) == 0 && (takes_more ? (*rest)[0] != '\0' : (*rest)[0] == '\0');
}

const route *route_find(const char *method, const char *path, const char **rest, const char **allow)
{
    *allow = NULL;
    for (int i = 0; i < n_routes; i++) {
        const char *behind;
        if (!is_at(&routes[i], path, &behind)) continue;
        if (strcmp(routes[i].method, method) == 0) {
            *rest = behind;
            return &routes[i];
        }
        *allow = *allow ? "GET, POST" : routes[i].method;
    }
    return NULL;
}
