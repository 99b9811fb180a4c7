/* Scenes for the screen: the circuit diagram and the panels as SVG, uncut and without a frame, drawn from the van alone, so that
 * they follow each edit at once. docs/sheets.md says which groups and classes they hold for a page to style and to point at. */
#ifndef LOOMWALL_SCENE_H
#define LOOMWALL_SCENE_H

#include "loomwall/judge.h"

/* The faces, which take long to open and little to keep. Used by one thread at a time. */
typedef struct lw_faces lw_faces;
/* LW_REFUSED: a face is missing; *why, if `why` is given, says so; release it with lw_free. */
lw_status lw_faces_open(lw_faces **faces, char **why);
void lw_faces_close(lw_faces *faces);

typedef struct lw_scene_options {
    lw_faces *faces; /* NULL: opened for this call alone */
    const lw_judgement
        *judgement; /* the sizes that it chose stand at wires of the same label; may be older; may be NULL */
} lw_scene_options;

/* One scene, such as "diagram", "front-galley", "back-galley". `options` may be NULL. Release *svg with lw_free. LW_REFUSED: there
 * is none of that id, or a face is missing; *why, if `why` is given, says so; release it with lw_free. */
lw_status lw_scene_draw(const lw_van *van, const char *id, const lw_scene_options *options, char **svg, size_t *n_bytes,
                        char **why);

/* Those that the van has, as JSON: [{"id": "diagram", "title": "Circuit diagram", "panel": null}, ...]. */
lw_status lw_scenes_json(const lw_van *van, char **json);

/* The style that each scene also holds, for pages that may not take styles from within a scene. */
lw_status lw_scene_style(char **css);

#endif
