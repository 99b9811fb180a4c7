/* One revision of the file. See snapshot.h. */
#include "snapshot.h"

#include <stdlib.h>

snapshot *snapshot_take(snapshot *s)
{
    if (s) atomic_fetch_add(&s->n_holders, 1);
    return s;
}

void snapshot_drop(snapshot *s)
{
    while (s && atomic_fetch_sub(&s->n_holders, 1) == 1) {
        snapshot *before = s->readable == s ? NULL : s->readable;
        lw_judgement_free(atomic_load(&s->judgement));
        lw_van_free(s->van);
        lw_report_free(s->faults);
        free((char *)s->text);
        free(s);
        s = before;
    }
}

snapshot *snapshot_create(const char *file, char *text, size_t n, lw_van *van, const snapshot *before)
{
    snapshot *s = calloc(1, sizeof *s);
    if (!s) {
        free(text);
        lw_van_free(van);
        return NULL;
    }
    atomic_init(&s->n_holders, 1);
    s->revision = before ? before->revision + 1 : 1;
    s->text = text;
    s->n = n;
    s->van = van;
    lw_status status = van ? LW_OK : lw_van_read(file, text, n, &s->van, &s->faults);
    if (status == LW_OK) s->readable = s;
    if (status == LW_REFUSED && before) s->readable = snapshot_take(before->readable);
    if (status == LW_OK || status == LW_REFUSED) return s;
    snapshot_drop(s);
    return NULL;
}
