/* What the files of the study share among themselves. Everything here works on a study that is being made. */
#ifndef STUDY_PARTS_H
#define STUDY_PARTS_H

#include "ref/device.h"
#include "study/study.h"
#include <pthread.h>

/* One question to the switch positions, beside the watch that asks it. */
typedef enum question {
    ASK_CURRENT,     /* of all elements in series with one */
    ASK_LOAD_CLOSED, /* volts at a load while its own contacts are closed */
    ASK_LOAD_OPEN,   /* the same while they are all open */
    ASK_ITEM_V,
    ASK_LAMP_OPEN, /* lamp of an item while the item's contacts are open */
    ASK_LAMP_CLOSED,
    ASK_LAMP, /* lamp of an item that has no contacts */
    ASK_TERMINAL_V
} question;

typedef struct asked {
    question question;
    int index; /* element, load, item or terminal, as the question has it */
} asked;

typedef struct questions {
    ARRAY(watch) watches;
    ARRAY(asked) asked; /* one a watch */
} questions;

questions questions_make(const study *s, const network *net, season when);

/* The questions of one season on their way to the switch positions. */
typedef struct inquiry {
    season when;
    const network *net;
    questions q;
    states_options options;
    arena *arena; /* of the answers */
    states *answers;
    pthread_t thread;
    bool is_running, has_memory;
} inquiry;

/* Runs the positions of s->nets[when], and writes the answers into s->wires, s->loads, s->items and so on. */
void questions_answer(study *s, season when, const study_options *o);
/* The same in a thread beside the caller's, which must leave the network, the feeds and the joins as they are until
 * questions_wait has written the answers. NULL when there can be no thread. */
inquiry *questions_put_beside(study *s, season when, const study_options *o);
void questions_wait(study *s, inquiry *i);
void answers_clear(study *s);

/* Temperature of the air around a wire in a season. */
double wire_ambient_K(const study *s, int index, season when);
/* Traces the wiring, chooses sizes, finds the temperatures of the conductors, and answers the questions of the hard
 * season with them. Builds the networks of both seasons. Where no size is to be chosen, which leaves the full season
 * nothing to wait for, its questions are put beside: then they are in *full, else that is NULL. */
void hard_season(study *s, const study_options *o, inquiry **full);
void items_prepare(study *s);
/* What a wire would bear with another size, as it is run; 0: no table says. */
double wire_bears_A(const study *s, int index, conductor_size size);
double wire_ohm(const study *s, int index, conductor_size size, double temperature_K);

/* Source, need, drop and the wire that loses most, from the operating points at their worst positions. */
void loads_prepare(study *s);
void loads_measure(study *s);
void loads_off_measure(study *s);

/* What ends a fault on each wire: the feed's own protector, or for a return those of the loads behind it. */
void protectors_assign(study *s);
void peaks_add(study *s);
void rest_measure(study *s);
void joins_find(study *s);
void series_find(study *s);
void ties_find(study *s);

#endif
