/* Protective devices: styles, their ratings, and what they interrupt. */
#include "ref/device.h"

#include "tables.h"

#include <assert.h>
#include <pthread.h>
#include <string.h>

static const char *const style_words[] = {
#define X(NAME, word) word,
    DEVICE_STYLES(X)
#undef X
};

bool device_style_of(const char *word, device_style *out)
{
    for (int i = 0; i < N_DEVICE_STYLES; i++) {
        if (strcmp(style_words[i], word) == 0) {
            *out = (device_style)i;
            return true;
        }
    }
    return false;
}

const char *device_style_word(device_style s) { return style_words[s]; }

/* The ratings of all styles in one row, in the order of the table; each style's are together there. */
static struct {
    pthread_once_t once;
    double ratings_A[n_device_ratings];
    int first[N_DEVICE_STYLES], n[N_DEVICE_STYLES];
} devices = {.once = PTHREAD_ONCE_INIT};

static void gather_ratings(void)
{
    for (int i = 0; i < n_device_ratings; i++) {
        device_style s = DEVICE_BLADE;
        bool is_known = device_style_of(table_device_ratings[i].style, &s);
        assert(is_known);
        (void)is_known;
        if (devices.n[s] == 0) devices.first[s] = i;
        assert(devices.first[s] + devices.n[s] == i);
        devices.n[s]++;
        devices.ratings_A[i] = table_device_ratings[i].rating_A;
    }
}

const double *device_ratings(device_style s, int *n, source *from)
{
    pthread_once(&devices.once, gather_ratings);
    const row_device_ratings *first = &table_device_ratings[devices.first[s]];
    *n = devices.n[s];
    source_give(from, (source){first->source, first->how});
    return &devices.ratings_A[devices.first[s]];
}

static double property(device_style s, const char *name, source *from)
{
    for (int i = 0; i < n_device; i++) {
        const row_device *r = &table_device[i];
        if (strcmp(r->style, style_words[s]) == 0 && strcmp(r->property, name) == 0) {
            source_give(from, (source){r->source, r->how});
            return r->value;
        }
    }
    assert(false && "every style has every property");
    return 0.0;
}

double device_voltage_V(device_style s, source *from) { return property(s, "voltage", from); }
double device_interrupts_A(device_style s, source *from) { return property(s, "interrupts", from); }
