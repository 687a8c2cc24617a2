/* Rectangles into plates by straight cuts: take apart, rebuild, keep what is no worse.

   The compiled twin of rebuild.py: the same steps on the same numbers with the same chance, for speed alone.
   Read that file first; names are the same there. A change in one is a change in both, and
   tests/layout/test_rebuild.py compares them step by step.

   C99, whole numbers of 64 bits; doubles only in `score_of`, with + - * alone, so that results do not depend on
   the machine (compile without contraction of floating-point operations). */

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#ifdef _WIN32
#define PUBLIC __declspec(dllexport)
#else
#define PUBLIC
#endif

typedef int64_t Int;

enum { HISTORY = 60, NEAR = 40, STOCK_FIELDS = 15, WAY_FIELDS = 3 };

typedef struct {
    Int size[2], kerf, gap, longest, cuttable, marked, far_max, reach_low, reach_high, ordered, cost, limit, one_pass, turnable;
} Stock;

typedef struct {
    Int size[2], turned;
} Way;

typedef struct {
    Int demand, over, area;
    Int *first_way; /* for each stock, where its ways begin; one more at the end */
    Way *ways;
} Item;

/* A blank is stacked along axis `along` (0 = x, 1 = y); `rest` is the free extent at its end. A leaf has item >= 0. */
typedef struct {
    Int size[2], rest;
    int first, next, along, depth, item, way;
} Node;

typedef struct {
    int stock, count, room, parts;
    Int filled;
    Node *nodes;
} Plate;

typedef struct {
    int stocks, items, depth;
    Stock *stock;
    Item *item;
    uint64_t chance;
    Plate *plates, *saved;
    int open, plates_room;
    int *touched, touches;
    char *is_touched;
    int *out, outs, *saved_out, saved_outs; /* items without a place */
    int out_room;
    int saved_open;
    Int *used, cost, budget;
    Int *history, current;
    int at, rule;
    double *key;
    char *gone;
    int *map, gone_room;
    Plate *best;
    int best_open;
    Int best_cost, best_out, enough;
    int *best_left, best_lefts;
    Plate spare;
} Search;

typedef struct {
    double score;
    int plate, node, option, way, along;
} Place;

static uint64_t draw(Search *s) {
    uint64_t z = (s->chance += 0x9E3779B97F4A7C15ULL);
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9ULL;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBULL;
    return z ^ (z >> 31);
}

static int below(Search *s, int n) { return (int)((draw(s) >> 33) % (uint64_t)n); }

/* ---- memory: a plate holds its nodes in one block, which grows ---- */

static void room_for(Plate *plate, int nodes) {
    if (nodes <= plate->room) return;
    plate->room = nodes * 2 + 8;
    plate->nodes = realloc(plate->nodes, sizeof(Node) * (size_t)plate->room);
    if (!plate->nodes) abort();
}

static void copy_plate(Plate *to, const Plate *from) {
    room_for(to, from->count);
    memcpy(to->nodes, from->nodes, sizeof(Node) * (size_t)from->count);
    to->stock = from->stock;
    to->count = from->count;
    to->parts = from->parts;
    to->filled = from->filled;
}

static void swap_plates(Plate *one, Plate *other) {
    Plate kept = *one;
    *one = *other;
    *other = kept;
}

static void grow_plates(Search *s) {
    if (s->open < s->plates_room) return;
    int room = s->plates_room * 2 + 8;
    size_t more = sizeof(Plate) * (size_t)(room - s->plates_room);
    s->plates = realloc(s->plates, sizeof(Plate) * (size_t)room);
    s->saved = realloc(s->saved, sizeof(Plate) * (size_t)room);
    s->best = realloc(s->best, sizeof(Plate) * (size_t)room);
    s->touched = realloc(s->touched, sizeof(int) * (size_t)room);
    s->is_touched = realloc(s->is_touched, (size_t)room);
    if (!s->plates || !s->saved || !s->best || !s->touched || !s->is_touched) abort();
    memset(s->plates + s->plates_room, 0, more);
    memset(s->saved + s->plates_room, 0, more);
    memset(s->best + s->plates_room, 0, more);
    memset(s->is_touched + s->plates_room, 0, (size_t)(room - s->plates_room));
    s->plates_room = room;
}

/* ---- a plate's tree ---- */

static void empty_plate(const Search *s, Plate *plate, int stock) {
    room_for(plate, 1);
    Node *root = plate->nodes;
    memset(root, 0, sizeof *root);
    root->size[0] = s->stock[stock].size[0];
    root->size[1] = s->stock[stock].size[1];
    root->rest = root->size[0];
    root->first = root->next = root->item = -1;
    root->depth = 1;
    plate->stock = stock;
    plate->count = 1;
    plate->parts = 0;
    plate->filled = 0;
}

static int add_child(Plate *plate, int parent, int along, Int x, Int y, int item, int way) {
    room_for(plate, plate->count + 1);
    int number = plate->count++;
    Node *node = plate->nodes + number, *above = plate->nodes + parent;
    node->size[0] = x;
    node->size[1] = y;
    node->rest = 0;
    node->first = node->next = -1;
    node->along = along;
    node->depth = above->depth + (along != above->along);
    node->item = item;
    node->way = way;
    if (above->first < 0) {
        above->first = number;
    } else {
        int last = above->first;
        while (plate->nodes[last].next >= 0) last = plate->nodes[last].next;
        plate->nodes[last].next = number;
    }
    return number;
}

static int split_ok(const Stock *k, Int one, Int other) {
    if (k->marked) {
        Int less = one < other ? one : other;
        return k->far_max < 0 || less <= k->far_max;
    }
    int reach_one = one >= k->reach_low && one <= k->reach_high;
    int reach_other = other >= k->reach_low && other <= k->reach_high;
    return (reach_one && (k->far_max < 0 || other <= k->far_max)) ||
           (reach_other && (k->far_max < 0 || one <= k->far_max));
}

static int cut_ok(const Search *s, const Stock *k, Int travel, int depth, Int one, Int other) {
    if (!k->cuttable || travel - k->kerf > k->longest || (s->depth > 0 && depth > s->depth)) return 0;
    if (k->turnable >= 0 && travel - k->kerf > k->one_pass &&
        (travel - k->kerf) * (one + other - k->kerf) > k->turnable) return 0;
    return split_ok(k, one - k->kerf, other - k->kerf);
}

static double score_of(int rule, Int e, Int c, Int a, Int b, int option) {
    double r = (double)(e - a), t = (double)(c - b);
    double whole = (double)e * (double)c, one, other;
    if (option == 1) {
        one = r * (double)c;
        other = (double)a * t;
    } else {
        one = (double)e * t;
        other = r * (double)b;
    }
    double small = one > other ? other : one;
    double least = r < t ? r : t, most = r < t ? t : r;
    if (rule == 0) return whole * whole - one * one - other * other;
    if (rule == 1) return least * 1000.0 + most;
    if (rule == 2) return whole - (double)a * (double)b + small * 0.5;
    return least * (double)(r < t ? c : e) + small;
}

static void consider(Search *s, int plate_number, int node_number, int item_number, int blink, Place *best) {
    const Plate *plate = s->plates + plate_number;
    const Node *node = plate->nodes + node_number;
    if (node->item >= 0 || node->rest <= 0) return;
    const Stock *k = s->stock + plate->stock;
    const Item *item = s->item + item_number;
    int empty = node->first < 0;
    for (Int w = item->first_way[plate->stock]; w < item->first_way[plate->stock + 1]; w++) {
        for (int turn = 0; turn < (empty ? 2 : 1); turn++) {
            int along = empty ? turn : node->along;
            Int e = empty ? node->size[along] : node->rest, c = node->size[1 - along];
            Int a = item->ways[w].size[along], b = item->ways[w].size[1 - along];
            if (a > e || b > c) continue;
            if (e - a > 0 && e - a < k->gap) {
                if (e - a > item->over) continue;
                a = e;
            }
            if (c - b > 0 && c - b < k->gap) {
                if (c - b > item->over) continue;
                b = c;
            }
            if (blink && below(s, 100) == 0) continue;
            int strip_ok = (a == e || cut_ok(s, k, c, node->depth, a, e - a)) &&
                           (b == c || cut_ok(s, k, a, node->depth + 1, b, c - b));
            if (strip_ok) {
                double score = score_of(s->rule, e, c, a, b, 1);
                if (score < best->score) *best = (Place){score, plate_number, node_number, 1, (int)w, along};
            }
            if (!empty && a < e && b < c && cut_ok(s, k, e, node->depth + 1, b, c - b) &&
                cut_ok(s, k, b, node->depth + 2, a, e - a)) {
                double score = score_of(s->rule, e, c, a, b, 2);
                if (score < best->score) *best = (Place){score, plate_number, node_number, 2, (int)w, along};
            }
        }
    }
}

static void put(Search *s, const Place *at, int item_number) {
    Plate *plate = s->plates + at->plate;
    room_for(plate, plate->count + 3);
    const Stock *k = s->stock + plate->stock;
    const Way *way = s->item[item_number].ways + at->way;
    Node *node = plate->nodes + at->node;
    int d = at->along, number = at->node;
    if (node->first < 0) {
        node->along = d;
        node->rest = node->size[d];
    }
    Int e = node->rest, c = node->size[1 - d], a = way->size[d], b = way->size[1 - d], size[2];
    if (e - a > 0 && e - a < k->gap) a = e;
    if (c - b > 0 && c - b < k->gap) b = c;
    size[d] = at->option == 1 ? a : e;
    size[1 - d] = c;
    node->rest -= size[d];
    if (b < c) {
        number = add_child(plate, number, 1 - d, size[0], size[1], -1, 0);
        plate->nodes[number].rest = c - b;
        size[1 - d] = b;
    }
    if (at->option == 2) {
        number = add_child(plate, number, d, size[0], size[1], -1, 0);
        plate->nodes[number].rest = e - a;
        size[d] = a;
    }
    add_child(plate, number, d, size[0], size[1], item_number, at->way);
    plate->filled += a * b;
    plate->parts++;
}

/* ---- taking apart ---- */

static void throw_out(Search *s, Plate *plate, int number) {
    const Node *node = plate->nodes + number;
    if (node->item >= 0) {
        if (s->gone[number]) return;
        s->gone[number] = 1;
        s->out[s->outs++] = node->item;
        plate->filled -= node->size[0] * node->size[1];
        plate->parts--;
        return;
    }
    for (int child = node->first; child >= 0; child = plate->nodes[child].next) throw_out(s, plate, child);
}

/* What is left of a node after parts were thrown out: itself, its only child, or nothing (-1). */
static int settled(Search *s, Plate *plate, int number) {
    Node *node = plate->nodes + number;
    const Stock *k = s->stock + plate->stock;
    if (node->item >= 0) return s->gone[number] ? -1 : number;
    int first = -1, last = -1, children = 0, next;
    for (int child = node->first; child >= 0; child = next) {
        next = plate->nodes[child].next;
        Int extent = plate->nodes[child].size[node->along];
        int left = settled(s, plate, child);
        if (left < 0) {
            node->rest += extent;
            continue;
        }
        int from = left, to = left;
        if (plate->nodes[left].item < 0 && plate->nodes[left].along == node->along) {
            node->rest += plate->nodes[left].rest;
            from = plate->nodes[left].first;
            for (to = from; plate->nodes[to].next >= 0; to = plate->nodes[to].next) children++;
        }
        children++;
        if (last < 0)
            first = from;
        else
            plate->nodes[last].next = from;
        last = to;
        plate->nodes[last].next = -1;
    }
    node->first = first;
    if (children == 0) return -1;
    int sound = node->rest == 0 || node->rest >= k->gap;
    if (sound && k->ordered) {
        Int e = node->size[node->along];
        for (int child = first; child >= 0 && sound; child = plate->nodes[child].next) {
            Int a = plate->nodes[child].size[node->along];
            sound = a == e || split_ok(k, a - k->kerf, e - a - k->kerf);
            e -= a;
        }
    }
    if (!sound) {
        throw_out(s, plate, number);
        return -1;
    }
    return children == 1 && node->rest == 0 ? first : number;
}

static int copied(const Plate *from, Plate *to, int number, int depth) {
    int here = to->count++;
    Node *node = to->nodes + here;
    *node = from->nodes[number];
    node->next = -1;
    node->depth = depth;
    int last = -1;
    for (int child = from->nodes[number].first; child >= 0; child = from->nodes[child].next) {
        int deeper = depth + (from->nodes[child].item < 0 && from->nodes[child].along != node->along);
        int copy = copied(from, to, child, deeper);
        if (last < 0)
            node->first = copy;
        else
            to->nodes[last].next = copy;
        last = copy;
    }
    return here;
}

static void settle(Search *s, int number) {
    Plate *plate = s->plates + number, *spare = &s->spare;
    int root = settled(s, plate, 0);
    if (root < 0) {
        empty_plate(s, plate, plate->stock);
        return;
    }
    if (plate->nodes[root].item >= 0) { /* one part as large as the plate */
        plate->nodes[0].first = root;
        plate->nodes[0].rest = 0;
        root = 0;
    }
    room_for(spare, plate->count);
    spare->count = 0;
    copied(plate, spare, root, 1);
    spare->stock = plate->stock;
    spare->parts = plate->parts;
    spare->filled = plate->filled;
    swap_plates(plate, spare);
}

static void touch(Search *s, int number) {
    if (s->is_touched[number]) return;
    s->is_touched[number] = 1;
    s->touched[s->touches++] = number;
    if (number < s->saved_open) copy_plate(s->saved + number, s->plates + number);
}

static void clear_gone(Search *s, int nodes) {
    if (nodes > s->gone_room) {
        s->gone_room = nodes * 2;
        s->gone = realloc(s->gone, (size_t)s->gone_room);
        if (!s->gone) abort();
    }
    memset(s->gone, 0, (size_t)nodes);
}

static void take_apart(Search *s) {
    int plates = 1 + below(s, 3), how = below(s, 3);
    for (int turn = 0; turn < plates; turn++) {
        int number = below(s, s->open);
        Plate *plate = s->plates + number;
        if (plate->parts == 0) continue;
        touch(s, number);
        clear_gone(s, plate->count);
        if (how == 0) {
            throw_out(s, plate, 0);
        } else if (how == 1) {
            int draws = 1 + below(s, plate->parts < 8 ? plate->parts : 8);
            for (int n = 0; n < draws; n++) {
                int node = below(s, plate->count);
                if (plate->nodes[node].item >= 0) throw_out(s, plate, node);
            }
        } else {
            throw_out(s, plate, below(s, plate->count));
        }
        settle(s, number);
    }
}

/* ---- rebuilding ---- */

typedef struct {
    double key;
    int item;
} Keyed;

static int by_key(const void *one, const void *other) {
    const Keyed *a = one, *b = other;
    if (a->key != b->key) return a->key > b->key ? -1 : 1;
    return a->item - b->item;
}

static void sort_out(Search *s, int how, int noise) {
    Keyed *keyed = malloc(sizeof(Keyed) * (size_t)(s->outs + 1));
    if (!keyed) abort();
    for (int n = 0; n < s->outs; n++) {
        const Item *item = s->item + s->out[n];
        double x = (double)item->ways[0].size[0], y = (double)item->ways[0].size[1];
        double factor = noise ? 700.0 + (double)below(s, 600) : 1000.0;
        double size = how == 0 ? x * y : how == 1 ? (x > y ? x * x : y * y) : how == 2 ? x * x : y * y;
        keyed[n].key = how == 4 ? factor : size * factor;
        keyed[n].item = s->out[n];
    }
    qsort(keyed, (size_t)s->outs, sizeof(Keyed), by_key);
    for (int n = 0; n < s->outs; n++) s->out[n] = keyed[n].item;
    free(keyed);
}

static int open_plate(Search *s, int item_number, Int out_area) {
    int chosen = -1;
    double least = 0;
    const Item *item = s->item + item_number;
    for (int n = 0; n < s->stocks; n++) {
        const Stock *k = s->stock + n;
        if (item->first_way[n] == item->first_way[n + 1]) continue;
        if ((k->limit >= 0 && s->used[n] >= k->limit) || k->cost > s->budget - s->cost) continue;
        double area = (double)k->size[0] * (double)k->size[1], wanted = (double)out_area * 1.1;
        double use = s->stocks > 1 && wanted < area ? wanted : area;
        double dear = (double)k->cost * (double)(s->stocks > 1 ? 80 + below(s, 40) : 100);
        if (chosen < 0 || dear * least < use) {
            chosen = n;
            least = dear > 0 ? use / dear : 1e300;
        }
    }
    if (chosen < 0) return 0;
    grow_plates(s);
    touch(s, s->open);
    empty_plate(s, s->plates + s->open, chosen);
    s->open++;
    s->used[chosen]++;
    s->cost += s->stock[chosen].cost;
    return 1;
}

static void in_plate(Search *s, int plate, int item, int blink, Place *best) {
    Int area = s->stock[s->plates[plate].stock].size[0] * s->stock[s->plates[plate].stock].size[1];
    if (area - s->plates[plate].filled < s->item[item].area) return;
    for (int n = 0; n < s->plates[plate].count; n++) consider(s, plate, n, item, blink, best);
}

static void rebuild(Search *s, int near, int blink) {
    int kept = 0, from = 0;
    Int out_area = 0;
    for (int n = 0; n < s->outs; n++) out_area += s->item[s->out[n]].area;
    if (near) from = below(s, s->open > 0 ? s->open : 1);
    for (int n = 0; n < s->outs; n++) {
        int item = s->out[n];
        Place best = {1e300, -1, 0, 0, 0, 0};
        if (near && s->open > NEAR) {
            for (int j = 0; j < s->touches; j++)
                if (s->touched[j] < s->open) in_plate(s, s->touched[j], item, blink, &best);
            for (int j = 0; j < NEAR; j++) {
                int plate = (from + j) % s->open;
                if (!s->is_touched[plate]) in_plate(s, plate, item, blink, &best);
            }
        } else {
            for (int plate = 0; plate < s->open; plate++) in_plate(s, plate, item, blink, &best);
        }
        if (best.plate < 0 && open_plate(s, item, out_area)) {
            for (int tries = 0; tries < 1; tries++) consider(s, s->open - 1, 0, item, 0, &best);
            if (best.plate < 0) { /* this plate cannot take it after all */
                s->open--;
                s->used[s->plates[s->open].stock]--;
                s->cost -= s->stock[s->plates[s->open].stock].cost;
            }
        }
        if (best.plate < 0) {
            s->out[kept++] = item;
            continue;
        }
        touch(s, best.plate);
        put(s, &best, item);
        out_area -= s->item[item].area;
    }
    s->outs = kept;
}

/* Close plates without parts; the last one takes the place of each. */
static void close_empty(Search *s) {
    for (int n = s->open - 1; n >= 0; n--) {
        if (s->plates[n].parts > 0) continue;
        touch(s, n);
        touch(s, s->open - 1);
        s->used[s->plates[n].stock]--;
        s->cost -= s->stock[s->plates[n].stock].cost;
        swap_plates(s->plates + n, s->plates + s->open - 1);
        s->open--;
    }
}

static Int out_area_of(const Search *s) {
    Int area = 0;
    for (int n = 0; n < s->outs; n++) area += s->item[s->out[n]].area;
    return area;
}

static void keep_best(Search *s) {
    s->best_open = s->open;
    for (int n = 0; n < s->open; n++) copy_plate(s->best + n, s->plates + n);
    s->best_cost = s->cost;
    s->best_out = out_area_of(s);
    s->best_lefts = s->outs;
    memcpy(s->best_left, s->out, sizeof(int) * (size_t)s->outs);
}

/* Close the plates that hold least for their cost until the rest is within the budget. */
static void within_budget(Search *s) {
    while (s->open > 0 && s->cost > s->budget) {
        int worst = -1;
        double least = 0;
        for (int n = 0; n < s->open; n++) {
            double cost = (double)s->stock[s->plates[n].stock].cost;
            double worth = cost > 0 ? (double)s->plates[n].filled / cost : 1e300;
            if (worst < 0 || worth < least) {
                worst = n;
                least = worth;
            }
        }
        clear_gone(s, s->plates[worst].count);
        throw_out(s, s->plates + worst, 0);
        s->used[s->plates[worst].stock]--;
        s->cost -= s->stock[s->plates[worst].stock].cost;
        swap_plates(s->plates + worst, s->plates + s->open - 1);
        s->open--;
    }
    s->current = out_area_of(s);
    for (int n = 0; n < HISTORY; n++) s->history[n] = s->current;
}

static void start_step(Search *s) {
    for (int n = 0; n < s->touches; n++) s->is_touched[s->touched[n]] = 0;
    s->touches = 0;
    s->saved_open = s->open;
    s->saved_outs = s->outs;
    memcpy(s->saved_out, s->out, sizeof(int) * (size_t)s->outs);
}

static void undo(Search *s) {
    for (int n = 0; n < s->touches; n++)
        if (s->touched[n] < s->saved_open) swap_plates(s->plates + s->touched[n], s->saved + s->touched[n]);
    s->open = s->saved_open;
    s->outs = s->saved_outs;
    memcpy(s->out, s->saved_out, sizeof(int) * (size_t)s->outs);
    s->cost = 0;
    memset(s->used, 0, sizeof(Int) * (size_t)s->stocks);
    for (int n = 0; n < s->open; n++) {
        s->used[s->plates[n].stock]++;
        s->cost += s->stock[s->plates[n].stock].cost;
    }
}

static int finished(const Search *s) { return s->best_out == 0 && s->best_cost <= s->enough; }

static void step(Search *s) {
    start_step(s);
    if (s->open > 0) take_apart(s);
    close_empty(s);
    sort_out(s, below(s, 10) == 0 ? 4 : below(s, 4), 1);
    s->rule = below(s, 4);
    rebuild(s, 1, 1);
    Int area = out_area_of(s);
    if (area < s->best_out || (area == 0 && s->cost < s->best_cost)) keep_best(s);
    if (area == 0 && s->best_out == 0) {
        s->budget = s->best_cost - 1;
        within_budget(s);
        return;
    }
    if (area <= s->current || area <= s->history[s->at])
        s->current = area;
    else
        undo(s);
    s->history[s->at] = s->current;
    s->at = (s->at + 1) % HISTORY;
}

/* ---- what Python calls ---- */

/* `data`: stocks, items, depth (0 = any), enough, then the stocks' fields, then for each item demand, over, area and
   for each stock the number of ways and the ways. */
PUBLIC void *rebuild_new(const int64_t *data, uint64_t seed) {
    Search *s = calloc(1, sizeof *s);
    if (!s) return NULL;
    s->stocks = (int)*data++;
    s->items = (int)*data++;
    s->depth = (int)*data++;
    s->enough = *data++;
    s->stock = calloc((size_t)s->stocks, sizeof(Stock));
    memcpy(s->stock, data, sizeof(Stock) * (size_t)s->stocks);
    data += STOCK_FIELDS * s->stocks;
    s->item = calloc((size_t)s->items + 1, sizeof(Item));
    for (int n = 0; n < s->items; n++) {
        Item *item = s->item + n;
        item->demand = *data++;
        item->over = *data++;
        item->area = *data++;
        item->first_way = calloc((size_t)s->stocks + 1, sizeof(Int));
        const int64_t *look = data;
        Int ways = 0;
        for (int k = 0; k < s->stocks; k++) {
            item->first_way[k] = ways;
            ways += *look;
            look += 1 + WAY_FIELDS * *look;
        }
        item->first_way[s->stocks] = ways;
        item->ways = calloc((size_t)ways + 1, sizeof(Way));
        for (int k = 0; k < s->stocks; k++) {
            Int count = *data++;
            memcpy(item->ways + item->first_way[k], data, sizeof(Way) * (size_t)count);
            data += WAY_FIELDS * count;
        }
        s->out_room += (int)item->demand;
    }
    s->out = calloc((size_t)s->out_room + 1, sizeof(int));
    s->saved_out = calloc((size_t)s->out_room + 1, sizeof(int));
    s->best_left = calloc((size_t)s->out_room + 1, sizeof(int));
    s->used = calloc((size_t)s->stocks, sizeof(Int));
    s->history = calloc(HISTORY, sizeof(Int));
    s->budget = s->best_cost = INT64_MAX;
    s->best_out = INT64_MAX;
    s->chance = seed;
    return s;
}

/* Begin with nothing placed (`plates` 0) or with the plates that were loaded; place the rest, large first. */
PUBLIC void rebuild_begin(void *search) {
    Search *s = search;
    s->outs = 0;
    Int *have = calloc((size_t)s->items + 1, sizeof(Int));
    for (int p = 0; p < s->open; p++)
        for (int n = 0; n < s->plates[p].count; n++)
            if (s->plates[p].nodes[n].item >= 0) have[s->plates[p].nodes[n].item]++;
    for (int n = 0; n < s->items; n++)
        for (Int copy = have[n]; copy < s->item[n].demand; copy++) s->out[s->outs++] = n;
    free(have);
    start_step(s);
    sort_out(s, 0, 0);
    s->rule = 1;
    rebuild(s, 0, 0);
    keep_best(s);
    if (s->outs == 0) s->budget = s->best_cost - 1;
    within_budget(s);
}

/* Steps done: fewer than asked once the answer costs no more than `enough`. */
PUBLIC int64_t rebuild_run(void *search, int64_t steps) {
    Search *s = search;
    int64_t done = 0;
    while (done < steps && !finished(s)) {
        step(s);
        done++;
    }
    return done;
}

PUBLIC void rebuild_budget(void *search, int64_t budget) {
    Search *s = search;
    if (budget >= s->budget) return;
    s->budget = budget;
    within_budget(s);
}

/* best cost, area without a place, plates, nodes in all, items without a place */
PUBLIC void rebuild_result(void *search, int64_t *result) {
    const Search *s = search;
    result[0] = s->best_cost;
    result[1] = s->best_out;
    result[2] = s->best_open;
    result[3] = 0;
    for (int n = 0; n < s->best_open; n++) result[3] += s->best[n].count;
    result[4] = s->best_lefts;
}

static int64_t *write_node(const Plate *plate, int number, int64_t *out) {
    const Node *node = plate->nodes + number;
    *out++ = node->item;
    *out++ = node->item >= 0 ? node->way : node->along;
    *out++ = node->size[0];
    *out++ = node->size[1];
    int64_t *children = out;
    *out++ = 0;
    for (int child = node->first; child >= 0; child = plate->nodes[child].next) {
        ++*children;
        out = write_node(plate, child, out);
    }
    return out;
}

/* For each plate its stock and its nodes in order: item or -1, way or axis, x, y, children. Then the items left. */
PUBLIC void rebuild_plates(void *search, int64_t *out) {
    const Search *s = search;
    for (int n = 0; n < s->best_open; n++) {
        *out++ = s->best[n].stock;
        out = write_node(s->best + n, 0, out);
    }
    for (int n = 0; n < s->best_lefts; n++) *out++ = s->best_left[n];
}

static const int64_t *read_node(Plate *plate, int parent, const int64_t *in) {
    int number;
    Int children = in[4];
    int item = (int)in[0];
    if (parent < 0) {
        number = 0;
        plate->nodes[0].along = (int)in[1];
    } else {
        number = add_child(plate, parent, item < 0 ? (int)in[1] : plate->nodes[parent].along, in[2], in[3], item,
                           item < 0 ? 0 : (int)in[1]);
    }
    if (item >= 0) {
        plate->filled += in[2] * in[3];
        plate->parts++;
        return in + 5;
    }
    int along = plate->nodes[number].along;
    plate->nodes[number].rest = plate->nodes[number].size[along];
    in += 5;
    for (Int n = 0; n < children; n++) {
        Int extent = in[2 + along];
        plate->nodes[number].rest -= extent;
        in = read_node(plate, number, in);
    }
    return in;
}

/* Plates to begin with, in the form of rebuild_plates, roots being blanks; before rebuild_begin. */
PUBLIC void rebuild_load(void *search, const int64_t *in, int64_t plates) {
    Search *s = search;
    for (int64_t n = 0; n < plates; n++) {
        grow_plates(s);
        int stock = (int)*in++;
        empty_plate(s, s->plates + s->open, stock);
        in = read_node(s->plates + s->open, -1, in);
        s->used[stock]++;
        s->cost += s->stock[stock].cost;
        s->open++;
    }
}

PUBLIC void rebuild_free(void *search) {
    Search *s = search;
    for (int n = 0; n < s->plates_room; n++) {
        free(s->plates[n].nodes);
        free(s->saved[n].nodes);
        free(s->best[n].nodes);
    }
    for (int n = 0; n < s->items; n++) {
        free(s->item[n].first_way);
        free(s->item[n].ways);
    }
    free(s->spare.nodes);
    free(s->plates);
    free(s->saved);
    free(s->best);
    free(s->touched);
    free(s->is_touched);
    free(s->stock);
    free(s->item);
    free(s->out);
    free(s->saved_out);
    free(s->best_left);
    free(s->used);
    free(s->history);
    free(s->gone);
    free(s);
}
