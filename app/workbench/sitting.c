/* The sitting. See sitting.h. */
#include "sitting.h"
#include "common/disk.h"

#include <errno.h>
#include <pthread.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

struct sitting {
    pthread_mutex_t hand, lock;
    pthread_cond_t has_news; /* with `lock`: for the judge */
    sitting_listener listener;
    arena *arena; /* of the paths; under `hand`, as the history is */
    history history;
    /* Under `lock`, and changed only by who has `hand`: */
    const char *path, *folder, *name; /* live as long as the sitting; path is NULL while there is no file */
    snapshot *now;
    /* Under `lock`: */
    snapshot *judged;
    bool is_ending;
    _Atomic(const snapshot *) newest; /* that can be read; NULL when the sitting ends. Compared, never looked into */
    /* Under `hand`: */
    struct stat seen; /* of the file when it was last read */
    bool is_missed;   /* it was not there at the last look */
};

static text text_of(const snapshot *s) { return (text){s->text, s->n}; }

static disk_text expected(const snapshot *s) { return (disk_text){s->text, s->n, s->is_on_disk}; }

static char *copy_of(text t)
{
    char *copy = malloc(t.n + 1);
    if (!copy) return NULL;
    memcpy(copy, t.at, t.n);
    copy[t.n] = '\0';
    return copy;
}

static snapshot *make_snapshot_named(sitting *s, const char *name, text t, lw_van *van)
{
    char *copy = copy_of(t);
    if (!copy) lw_van_free(van);
    snapshot *made = copy ? snapshot_create(name, copy, t.n, van, s->now) : NULL;
    if (!made) errno = ENOMEM;
    return made;
}

static snapshot *make_snapshot(sitting *s, text t) { return make_snapshot_named(s, s->name, t, NULL); }

static void tell(sitting *s, sitting_event event, unsigned revision)
{
    if (s->listener.tell) s->listener.tell(s->listener.context, event, revision);
}

/* `fresh`, held by who gives it, is the present revision from now on. */
static void adopt(sitting *s, snapshot *fresh)
{
    pthread_mutex_lock(&s->lock);
    snapshot *before = s->now;
    s->now = fresh;
    if (!s->is_ending) atomic_store(&s->newest, fresh->readable);
    pthread_cond_broadcast(&s->has_news);
    pthread_mutex_unlock(&s->lock);
    snapshot_drop(before);
    tell(s, SITTING_FILE, fresh->revision);
}

/* --- the disk --- */

typedef struct noting {
    sitting *sitting;
    text was, is;
    const char *says;
    bool is_turn, is_undo;
} noting;

static void note(void *context)
{
    noting *n = context;
    history *h = &n->sitting->history;
    if (n->is_turn)
        history_turn(h, n->is_undo);
    else
        history_edit(h, n->was, n->is, n->says);
}

/* False, having changed nothing, when there is no memory. */
static bool is_noted(noting *n)
{
    history *h = &n->sitting->history;
    history_mark mark = history_now(h);
    if (arena_try(h->arena, note, n)) return true;
    history_return(h, mark);
    return false;
}

static void note_presence(sitting *s, bool is_on_disk)
{
    if (atomic_exchange(&s->now->is_on_disk, is_on_disk) != is_on_disk) tell(s, SITTING_FILE, s->now->revision);
}

static bool take_in_text(sitting *s, snapshot *fresh)
{
    noting n = {.sitting = s, .was = text_of(s->now), .is = text_of(fresh), .says = "a change from outside"};
    if (!is_noted(&n)) {
        snapshot_drop(fresh);
        return false;
    }
    atomic_store(&fresh->is_on_disk, true);
    adopt(s, fresh);
    return true;
}

/* How long a text that can't be read may be one that is still being written. */
static bool is_young(const struct stat *is)
{
    static const double moment_s = 0.15;
    struct timespec now;
    clock_gettime(CLOCK_REALTIME, &now);
    double age_s = (double)(now.tv_sec - is->st_mtim.tv_sec) + 1e-9 * (double)(now.tv_nsec - is->st_mtim.tv_nsec);
    return age_s >= 0 && age_s < moment_s;
}

/* False, with the reason in errno, when the disk can't be read. */
static bool take_in(sitting *s, arena *a, bool is_sure)
{
    struct stat is = {0};
    bool is_there = stat(s->path, &is) == 0; /* before the text: what is written in between is seen at the next look */
    disk_text found;
    if (!disk_read(a, s->path, &found)) return false;
    bool was_missed = s->is_missed;
    s->is_missed = !found.is_there;
    if (!found.is_there) {
        if (is_sure || was_missed) note_presence(s, false);
        return true;
    }
    disk_text known = {s->now->text, s->now->n, true};
    if (!disk_same(&found, &known)) {
        snapshot *fresh = make_snapshot(s, (text){found.bytes, found.n});
        if (!fresh) return false;
        if (!fresh->van && !is_sure && is_there && is_young(&is)) {
            snapshot_drop(fresh);
            return true;
        }
        if (!take_in_text(s, fresh)) return false;
    }
    note_presence(s, true);
    s->seen = is;
    return true;
}

static bool is_as_seen(const sitting *s)
{
    struct stat is;
    if (stat(s->path, &is) != 0) return !s->now->is_on_disk;
    const struct stat *seen = &s->seen;
    return s->now->is_on_disk && is.st_ino == seen->st_ino && is.st_dev == seen->st_dev &&
           is.st_size == seen->st_size && is.st_mtim.tv_sec == seen->st_mtim.tv_sec &&
           is.st_mtim.tv_nsec == seen->st_mtim.tv_nsec && is.st_ctim.tv_sec == seen->st_ctim.tv_sec &&
           is.st_ctim.tv_nsec == seen->st_ctim.tv_nsec;
}

typedef struct look {
    sitting *sitting;
    arena *arena;
    bool is_sure;
} look;

static void run_look(void *context)
{
    look *l = context;
    take_in(l->sitting, l->arena, l->is_sure); /* what can't be read now may be at the next look */
}

void sitting_look(sitting *s, bool is_sure)
{
    pthread_mutex_lock(&s->hand);
    if (s->path && !is_as_seen(s)) {
        look l = {s, arena_create(), is_sure};
        if (l.arena) arena_try(l.arena, run_look, &l);
        arena_destroy(l.arena);
    }
    pthread_mutex_unlock(&s->hand);
}

/* --- opening --- */

static bool place(sitting *s, const char *path)
{
    arena *a = s->arena;
    const char *folder = disk_true_path(a, path ? disk_folder(a, path) : ".");
    if (!folder) return false;
    const char *whole = path ? disk_true_path(a, path) : NULL; /* a link is written through */
    struct stat is;
    if (!whole && path && lstat(path, &is) == 0) return false;
    s->path = whole;
    s->folder = whole ? disk_folder(a, whole) : folder;
    s->name = whole ? disk_name(whole) : path ? arena_text(a, disk_name(path)) : "";
    return true;
}

static bool open_file(sitting *s, arena *a)
{
    disk_text found = {"", 0, false};
    if (s->path) {
        disk_tidy(a, s->path);
        if (stat(s->path, &s->seen) != 0 || !disk_read(a, s->path, &found)) return false;
    }
    snapshot *first = make_snapshot(s, (text){found.bytes, found.n});
    if (!first) return false;
    atomic_store(&first->is_on_disk, found.is_there);
    s->now = first;
    atomic_store(&s->newest, first->readable);
    return true;
}

typedef struct opening {
    sitting *sitting;
    const char *path;
    bool is_open;
} opening;

static void run_opening(void *context)
{
    opening *o = context;
    o->is_open = place(o->sitting, o->path) && open_file(o->sitting, o->sitting->arena);
}

sitting *sitting_open(const char *path, sitting_listener listener)
{
    sitting *s = calloc(1, sizeof *s);
    if (!s) return NULL;
    pthread_mutex_init(&s->hand, NULL);
    pthread_mutex_init(&s->lock, NULL);
    pthread_cond_init(&s->has_news, NULL);
    s->listener = listener;
    s->arena = arena_create();
    s->history.arena = arena_create();
    opening o = {s, path, false};
    bool is_tried = s->arena && s->history.arena && arena_try(s->arena, run_opening, &o);
    if (!is_tried) errno = ENOMEM;
    if (is_tried && o.is_open) return s;
    int why = errno;
    sitting_close(s);
    errno = why;
    return NULL;
}

void sitting_close(sitting *s)
{
    if (!s) return;
    snapshot_drop(s->judged);
    snapshot_drop(s->now);
    arena_destroy(s->history.arena);
    arena_destroy(s->arena);
    pthread_cond_destroy(&s->has_news);
    pthread_mutex_destroy(&s->lock);
    pthread_mutex_destroy(&s->hand);
    free(s);
}

/* --- looking at it --- */

snapshot *sitting_now(sitting *s)
{
    pthread_mutex_lock(&s->lock);
    snapshot *now = snapshot_take(s->now);
    pthread_mutex_unlock(&s->lock);
    return now;
}

snapshot *sitting_judged(sitting *s)
{
    pthread_mutex_lock(&s->lock);
    snapshot *judged = snapshot_take(s->judged);
    pthread_mutex_unlock(&s->lock);
    return judged;
}

snapshot *sitting_await_unjudged(sitting *s)
{
    pthread_mutex_lock(&s->lock);
    while (!s->is_ending && (!s->now->readable || s->now->readable == s->judged))
        pthread_cond_wait(&s->has_news, &s->lock);
    snapshot *next = s->is_ending ? NULL : snapshot_take(s->now->readable);
    pthread_mutex_unlock(&s->lock);
    return next;
}

bool sitting_is_newest(sitting *s, const snapshot *judged) { return atomic_load(&s->newest) == judged; }

void sitting_note_judgement(sitting *s, snapshot *of, lw_judgement *judgement)
{
    atomic_store(&of->judgement, judgement);
    pthread_mutex_lock(&s->lock);
    snapshot *before = s->judged;
    s->judged = snapshot_take(of);
    pthread_mutex_unlock(&s->lock);
    snapshot_drop(before);
    tell(s, SITTING_JUDGED, of->revision);
}

void sitting_end(sitting *s)
{
    pthread_mutex_lock(&s->lock);
    s->is_ending = true;
    atomic_store(&s->newest, NULL);
    pthread_cond_broadcast(&s->has_news);
    pthread_mutex_unlock(&s->lock);
}

sitting_place sitting_where(sitting *s)
{
    pthread_mutex_lock(&s->lock);
    sitting_place where = {s->path, s->folder, s->name};
    pthread_mutex_unlock(&s->lock);
    return where;
}

typedef struct telling {
    sitting *sitting;
    arena *arena;
    const char **undo, **redo;
} telling;

static void tell_turns(void *context)
{
    telling *t = context;
    const step *undo = history_undo(&t->sitting->history), *redo = history_redo(&t->sitting->history);
    *t->undo = undo ? arena_text(t->arena, undo->says) : NULL;
    *t->redo = redo ? arena_text(t->arena, redo->says) : NULL;
}

void sitting_turns(sitting *s, arena *a, const char **undo, const char **redo)
{
    telling t = {s, a, undo, redo};
    *undo = *redo = NULL;
    pthread_mutex_lock(&s->hand);
    arena_try(a, tell_turns, &t);
    pthread_mutex_unlock(&s->hand);
}

/* --- changing it --- */

enum { most_turns = 5 };

typedef struct naming {
    sitting *sitting;
    const char *name, *path;
} naming;

static void run_naming(void *context)
{
    naming *n = context;
    n->path = arena_printf(n->sitting->arena, "%s/%s", n->sitting->folder, n->name);
}

/* The path of a name in the folder, which lives as long as the sitting; NULL when there is no memory. */
static const char *place_in_folder(sitting *s, const char *name)
{
    naming n = {s, name, NULL};
    if (!arena_try(s->arena, run_naming, &n)) errno = ENOMEM;
    return n.path;
}

/* The file was started: before it nothing can be undone. */
static void settle_at(sitting *s, const char *path)
{
    pthread_mutex_lock(&s->lock);
    s->path = path;
    s->name = disk_name(path);
    pthread_mutex_unlock(&s->lock);
    history_forget_steps(&s->history);
}

typedef struct replacing {
    arena *arena;
    const char *path;
    disk_text old, fresh;
    disk_outcome outcome;
} replacing;

static void run_replacing(void *context)
{
    replacing *r = context;
    disk_text found;
    r->outcome = disk_replace(r->arena, r->path, &r->old, &r->fresh, &found);
}

/* Writes the result of the change, which `n` notes; what was noted is taken back when it could not be written. */
static change_outcome put(sitting *s, change *c, noting *n, const char *path)
{
    history_mark mark = history_now(&s->history);
    if (!is_noted(n)) {
        errno = ENOMEM;
        return CHANGE_FAILED;
    }
    replacing r = {c->arena, path, expected(s->now), {c->result->text, c->result->n, true}, DISK_FAILED};
    if (!arena_try(c->arena, run_replacing, &r)) errno = ENOMEM;
    if (r.outcome != DISK_DONE) {
        history_return(&s->history, mark);
        return r.outcome == DISK_OTHER ? CHANGE_CONTESTED : CHANGE_FAILED;
    }
    if (stat(path, &s->seen) != 0) memset(&s->seen, 0, sizeof s->seen);
    atomic_store(&c->result->is_on_disk, true);
    if (!s->path) settle_at(s, path);
    adopt(s, snapshot_take(c->result));
    return CHANGE_DONE;
}

static change_outcome put_made(sitting *s, change *c, noting *n)
{
    snapshot_drop(c->result);
    bool is_same = c->made.n == s->now->n && memcmp(c->made.at, s->now->text, c->made.n) == 0;
    lw_van *van = c->van;
    c->van = NULL;
    if (is_same) lw_van_free(van);
    c->result = is_same ? snapshot_take(s->now) : make_snapshot_named(s, s->name, c->made, van);
    if (!c->result) return CHANGE_FAILED;
    if (!c->result->van && !n->is_turn) return CHANGE_UNREADABLE;
    if (c->is_dry || (is_same && s->now->is_on_disk)) return CHANGE_DONE;
    n->sitting = s;
    n->was = text_of(s->now);
    n->is = text_of(c->result);
    n->says = c->says;
    return put(s, c, n, s->path);
}

static change_outcome change_once(sitting *s, change *c)
{
    if (c->revision < 1 || c->revision > s->now->revision) return CHANGE_STALE;
    text base = history_text_at(&s->history, c->arena, c->revision, text_of(s->now));
    if (!c->make(c, base, s->now)) return CHANGE_REFUSED;
    return put_made(s, c, &(noting){0});
}

static change_outcome undo_once(sitting *s, change *c, bool is_undo)
{
    const step *step = is_undo ? history_undo(&s->history) : history_redo(&s->history);
    if (!step) return CHANGE_REFUSED;
    if (c->revision != s->now->revision) return CHANGE_STALE;
    c->says = arena_text(c->arena, step->says);
    c->made = history_text_turned(&s->history, c->arena, step, is_undo, text_of(s->now));
    return put_made(s, c, &(noting){.is_turn = true, .is_undo = is_undo});
}

typedef struct changing {
    sitting *sitting;
    change *change;
    bool is_turn, is_undo;
    change_outcome outcome;
} changing;

static void run_change(void *context)
{
    changing *g = context;
    sitting *s = g->sitting;
    g->outcome = CHANGE_CONTESTED;
    for (int turn = 0; turn < most_turns && g->outcome == CHANGE_CONTESTED; turn++) {
        if (!s->path || !take_in(s, g->change->arena, true)) {
            if (!s->path) errno = ENOENT;
            g->outcome = CHANGE_FAILED;
        } else {
            g->outcome = g->is_turn ? undo_once(s, g->change, g->is_undo) : change_once(s, g->change);
        }
    }
}

/* Under `hand`, which no want of memory may leave locked. */
static change_outcome with_hand(sitting *s, void (*run)(void *), changing *g)
{
    pthread_mutex_lock(&s->hand);
    if (!arena_try(g->change->arena, run, g)) {
        errno = ENOMEM;
        g->outcome = CHANGE_FAILED;
    }
    pthread_mutex_unlock(&s->hand);
    return g->outcome;
}

change_outcome sitting_change(sitting *s, change *c)
{
    return with_hand(s, run_change, &(changing){.sitting = s, .change = c});
}

change_outcome sitting_undo(sitting *s, change *c, bool is_undo)
{
    return with_hand(s, run_change, &(changing){.sitting = s, .change = c, .is_turn = true, .is_undo = is_undo});
}

/* --- starting it --- */

typedef struct starting {
    changing changing; /* first: what with_hand takes */
    const char *name;
} starting;

static change_outcome start_once(sitting *s, change *c, const char *given_name)
{
    if (s->path) return CHANGE_REFUSED;
    c->result = make_snapshot_named(s, given_name, c->made, NULL);
    if (!c->result) return CHANGE_FAILED;
    if (!c->result->van) return CHANGE_UNREADABLE;
    const char *path = place_in_folder(s, given_name);
    if (!path) return CHANGE_FAILED;
    if (c->is_dry) return access(path, F_OK) == 0 ? CHANGE_REFUSED : CHANGE_DONE;
    noting n = {.sitting = s, .was = text_of(s->now), .is = text_of(c->result), .says = c->says};
    change_outcome outcome = put(s, c, &n, path);
    if (outcome == CHANGE_CONTESTED) return CHANGE_REFUSED; /* there is such a file */
    return outcome;
}

static void run_start(void *context)
{
    changing *g = context;
    g->outcome = start_once(g->sitting, g->change, ((starting *)g)->name);
}

change_outcome sitting_start(sitting *s, change *c, const char *name)
{
    starting g = {.changing = {.sitting = s, .change = c}, .name = name};
    return with_hand(s, run_start, &g.changing);
}
