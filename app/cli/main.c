/* The command line: a thin door onto the library. This file takes the arguments apart and finds the command. */
#include "command.h"
#include "loomwall/status.h"
#include "say.h"

#include <signal.h>
#include <stdlib.h>
#include <string.h>

typedef struct command {
    const char *name, *operands;
    int least, most;
    unsigned long long options;
    const char *says;
    int (*run)(const arguments *);
} command;

static const command commands[] = {
#define X(name, operands, least, most, options, says)                                                                  \
    {#name, operands, least, most, (options) | TAKES(COLOR) | TAKES(HELP), says, run_##name},
    COMMANDS(X)
#undef X
};
enum { n_commands = sizeof commands / sizeof commands[0] };

static const struct {
    const char *word, *value, *says;
} options[] = {
#define X(NAME, word, value, says) {word, value, says},
    OPTIONS(X)
#undef X
};

const char *argument(const arguments *arguments, option option)
{
    int n = arguments->n_values[option];
    return n == 0 ? NULL : arguments->values[option][n - 1];
}

bool is_given(const arguments *arguments, option option) { return arguments->n_values[option] > 0; }

static bool is_repeatable(option o)
{
    return (TAKES(SET) | TAKES(CIRCUIT) | TAKES(ANSWER) | TAKES(PUT) | TAKES(DROP) | TAKES(RENAME) | TAKES(WIRE)) &
           1ULL << o;
}

/* --- usage --- */

static void add_option(sink *s, option o)
{
    sink left = sink_in(s->arena);
    sink_printf(&left, "%s%s%s", options[o].word, options[o].value ? " " : "",
                options[o].value ? options[o].value : "");
    sink_printf(s, "  %-26s %s\n", sink_text(&left), options[o].says);
}

static void add_command_usage(sink *s, const command *c)
{
    sink_printf(s, "usage: loomwall %s%s%s", c->name, c->operands[0] ? " " : "", c->operands);
    for (option o = 0; o < N_OPTIONS; o++) {
        if (!(c->options & 1ULL << o) || o == OPTION_COLOR || o == OPTION_HELP) continue;
        const char *value = options[o].value;
        sink_printf(s, " [%s%s%s]%s", options[o].word, value ? " " : "", value ? value : "",
                    is_repeatable(o) ? "..." : "");
    }
    sink_printf(s, "\n\nPrints %s.\n", c->says);
    if (strstr(c->operands, "FILE") && c->run != run_new && c->run != run_open)
        sink_add(s, "FILE may be `-` for standard input.\n");
    sink_add(s, "\n");
    for (option o = 0; o < N_OPTIONS; o++) {
        if (c->options & 1ULL << o) add_option(s, o);
    }
}

static void add_usage(sink *s)
{
    sink_add(s, "usage: loomwall COMMAND ...\n\n");
    for (int i = 0; i < n_commands; i++) sink_printf(s, "  %-9s%s\n", commands[i].name, commands[i].says);
    sink_add(s, "\n`loomwall help COMMAND` tells how to use one. Start with `loomwall new my-van.yaml`.\n"
                "Exit status: 0 all gates open, 1 a gate is shut, 2 the input could not be read, 3 a failure.\n");
}

static const command *find_command(const char *name)
{
    for (int i = 0; i < n_commands; i++) {
        if (strcmp(commands[i].name, name) == 0) return &commands[i];
    }
    return NULL;
}

static int refuse_command(const char *name)
{
    const char *names[n_commands];
    for (int i = 0; i < n_commands; i++) names[i] = commands[i].name;
    int nearest = nearest_word(name, names, n_commands);
    if (nearest >= 0) {
        complain("there is no command `%s`; did you mean `%s`?", name, names[nearest]);
    } else {
        complain("there is no command `%s`; `loomwall help` lists them", name);
    }
    return EXIT_UNREAD;
}

int run_help(const arguments *arguments)
{
    sink s = sink_in(arguments->arena);
    if (arguments->n_operands == 0) {
        add_usage(&s);
        return say(sink_text(&s), EXIT_OPEN);
    }
    const command *c = find_command(arguments->operands[0]);
    if (!c) return refuse_command(arguments->operands[0]);
    add_command_usage(&s, c);
    return say(sink_text(&s), EXIT_OPEN);
}

int run_version(const arguments *arguments)
{
    sink s = sink_in(arguments->arena);
    sink_printf(&s, "loomwall %s\n", lw_version());
    return say(sink_text(&s), EXIT_OPEN);
}

/* --- taking the arguments apart --- */

typedef struct parsing {
    arguments *arguments;
    const command *command;
    char **words;
    int n_words, at;
    bool are_options_over; /* after `--` */
} parsing;

static bool refuse_option(const parsing *p, const char *word)
{
    const char *known[N_OPTIONS];
    int n = 0;
    for (option o = 0; o < N_OPTIONS; o++) {
        if (p->command->options & 1ULL << o) known[n++] = options[o].word;
    }
    int nearest = nearest_word(word, known, n);
    if (nearest >= 0) {
        complain("`%s` is not an option of `%s`; did you mean `%s`?", word, p->command->name, known[nearest]);
    } else {
        complain("`%s` is not an option of `%s`; `loomwall help %s` lists them", word, p->command->name,
                 p->command->name);
    }
    return false;
}

static void add_value(arguments *a, option o, const char *value) { a->values[o][a->n_values[o]++] = value; }

static bool take_option(parsing *p, const char *word)
{
    const char *equals = strchr(word, '=');
    const char *name = equals ? arena_text_n(p->arguments->arena, word, (size_t)(equals - word)) : word;
    option o = 0;
    while (o < N_OPTIONS && !(strcmp(options[o].word, name) == 0 && p->command->options & 1ULL << o)) o++;
    if (o == N_OPTIONS) return refuse_option(p, name);
    if (!options[o].value) {
        if (equals) return complain("`%s` takes no value; leave `%s` out", name, equals), false;
        add_value(p->arguments, o, "");
        return true;
    }
    if (!is_repeatable(o) && is_given(p->arguments, o))
        return complain("`%s` is given twice; give it once", name), false;
    if (!equals && p->at == p->n_words) {
        return complain("`%s` lacks its value; write `%s %s`", name, name, options[o].value), false;
    }
    add_value(p->arguments, o, equals ? equals + 1 : p->words[p->at++]);
    return true;
}

static bool take_words(parsing *p)
{
    arguments *a = p->arguments;
    while (p->at < p->n_words) {
        const char *word = p->words[p->at++];
        if (!p->are_options_over && strcmp(word, "--") == 0) {
            p->are_options_over = true;
        } else if (!p->are_options_over && strcmp(word, "-h") == 0) {
            add_value(a, OPTION_HELP, "");
        } else if (!p->are_options_over && word[0] == '-' && word[1] != '\0') {
            if (!take_option(p, word)) return false;
        } else {
            a->operands[a->n_operands++] = word;
        }
    }
    return true;
}

static bool has_right_operands(const parsing *p)
{
    int n = p->arguments->n_operands;
    const command *c = p->command;
    if (n < c->least)
        return complain("`%s` lacks its %s; `loomwall help %s` tells more", c->name, c->operands, c->name), false;
    if (n > c->most) {
        return complain("`%s` is one too many for `%s`; `loomwall help %s` tells more", p->arguments->operands[c->most],
                        c->name, c->name),
               false;
    }
    return true;
}

static arguments *arguments_for(arena *a, int n_words)
{
    arguments *args = ARENA_NEW(a, arguments);
    args->arena = a;
    args->operands = ARENA_ARRAY(a, const char *, (size_t)n_words);
    for (option o = 0; o < N_OPTIONS; o++) args->values[o] = ARENA_ARRAY(a, const char *, (size_t)n_words);
    return args;
}

static int run(arena *a, int n_words, char **words)
{
    arguments *args = arguments_for(a, n_words);
    if (n_words < 2) {
        sink s = sink_in(a);
        add_usage(&s);
        complain_text(sink_text(&s));
        return EXIT_UNREAD;
    }
    const char *name = words[1];
    if (strcmp(name, "--help") == 0 || strcmp(name, "-h") == 0) name = "help";
    if (strcmp(name, "--version") == 0) name = "version";
    const command *c = find_command(name);
    if (!c) return refuse_command(name);
    parsing p = {args, c, words, n_words, 2, false};
    if (!take_words(&p)) return EXIT_UNREAD;
    if (is_given(args, OPTION_HELP)) {
        args->operands[0] = c->name;
        args->n_operands = 1;
        return run_help(args);
    }
    if (!has_right_operands(&p) || !say_choose_colour(argument(args, OPTION_COLOR))) return EXIT_UNREAD;
    return c->run(args);
}

typedef struct whole {
    arena *arena;
    int n_words;
    char **words;
    int status;
} whole;

static void run_whole(void *context)
{
    whole *w = context;
    w->status = run(w->arena, w->n_words, w->words);
}

int main(int n_words, char **words)
{
    whole w = {arena_create(), n_words, words, EXIT_FAILED};
    if (!w.arena || !arena_try(w.arena, run_whole, &w)) complain("there is not enough memory");
    arena_destroy(w.arena);
    return w.status;
}
