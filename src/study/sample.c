/* sample.c - many draws of a response, on several threads. SPDX-License-Identifier: MIT */
#include "study/sample.h"

#include <pthread.h>
#include <stdatomic.h>
#include <string.h>

typedef struct jv_pool {
    const jv_response *response;
    const jv_sample_plan *plan;
    uint64_t end;       /* block behind the last */
    atomic_ullong next; /* block to be done next */
    atomic_ullong done; /* draws done */
    atomic_bool stop;   /* somebody failed, or nobody wants to go on */
    uint64_t draws;     /* of this slice */
    bool interrupted;
} jv_pool;

/* What one thread has to itself. */
typedef struct jv_crew {
    jv_pool *pool;
    void *worker;
    jv_tally tally;
    jv_drawn *drawn;
    double (*u)[JV_SIDE], (*values)[JV_SIDE], (*seen)[JV_SIDE], (*limit)[JV_SIDE];
    bool leads; /* runs in the calling thread, and asks whether to go on */
    bool runs;
    pthread_t thread;
    jv_status status;
} jv_crew;

void jv_sample_share(const jv_sample_plan *plan, uint64_t *first, uint64_t *end) {
    uint64_t blocks = (plan->draws + JV_SAMPLE_BLOCK - 1) / JV_SAMPLE_BLOCK;
    *first = blocks * (plan->slice - 1) / plan->of;
    *end = blocks * plan->slice / plan->of;
}

static uint64_t draws_until(const jv_sample_plan *plan, uint64_t block) {
    uint64_t draws = block * JV_SAMPLE_BLOCK;
    return draws < plan->draws ? draws : plan->draws;
}

static jv_status do_block(jv_crew *c, uint64_t block) {
    const jv_response *r = c->pool->response;
    const jv_sample_plan *plan = c->pool->plan;
    uint64_t end = draws_until(plan, block + 1);
    jv_status status = JV_OK;
    r->block(c->worker);
    for (uint64_t d = block * JV_SAMPLE_BLOCK; d < end && status == JV_OK; d += JV_SIDE) {
        unsigned of = end - d >= JV_SIDE ? (1u << JV_SIDE) - 1u : (1u << (end - d)) - 1u;
        unsigned solved = 0, scalar = 0;
        jv_draw_all(plan->width, plan->seed, d, c->drawn, r->n_quantities, c->u, c->values);
        status = r->respond(c->worker, of, c->values, c->seen, c->limit, &solved, &scalar);
        if (status == JV_OK)
            jv_tally_add(&c->tally, of, solved, c->u, c->seen, c->limit);
        c->tally.scalar += scalar;
    }
    return status;
}

static void *work(void *ctx) {
    jv_crew *c = ctx;
    jv_pool *p = c->pool;
    while (!atomic_load(&p->stop)) {
        uint64_t block = atomic_fetch_add(&p->next, 1);
        if (block >= p->end)
            break;
        c->status = do_block(c, block);
        if (c->status != JV_OK) {
            atomic_store(&p->stop, true);
            break;
        }
        uint64_t mine = draws_until(p->plan, block + 1) - block * JV_SAMPLE_BLOCK;
        uint64_t done = atomic_fetch_add(&p->done, mine) + mine;
        if (c->leads && p->plan->go_on && !p->plan->go_on(p->plan->ctx, done, p->draws)) {
            p->interrupted = done < p->draws;
            atomic_store(&p->stop, true);
        }
    }
    return NULL;
}

static jv_status hire(jv_crew *c, jv_pool *pool, bool leads) {
    const jv_response *r = pool->response;
    c->pool = pool;
    c->leads = leads;
    c->drawn = jv_alloc(r->n_quantities + 1, sizeof *c->drawn);
    c->u = jv_alloc(r->n_quantities + 1, sizeof *c->u);
    c->values = jv_alloc(r->n_quantities + 1, sizeof *c->values);
    c->seen = jv_zalloc(r->n_watches + 1, sizeof *c->seen);
    c->limit = jv_zalloc(r->n_watches + 1, sizeof *c->limit);
    if (!c->drawn || !c->u || !c->values || !c->seen || !c->limit)
        return JV_ERR_MEMORY;
    for (size_t q = 0; q < r->n_quantities; q++)
        c->drawn[q] = jv_drawn_make(r->quantities[q].address, &r->quantities[q].shown.value);
    jv_status status = jv_tally_make(r->n_quantities, r->n_watches, &c->tally);
    return status == JV_OK ? r->hire(r->ctx, &c->worker) : status;
}

static void dismiss(jv_crew *c) {
    if (c->worker)
        c->pool->response->dismiss(c->pool->response->ctx, c->worker);
    jv_tally_clear(&c->tally);
    jv_free(c->drawn);
    jv_free(c->u);
    jv_free(c->values);
    jv_free(c->seen);
    jv_free(c->limit);
}

/* All are hired before one starts, so that nothing has to be undone half-way. A thread that the
 * system refuses is done without. */
static jv_status run_crew(jv_crew *crew, unsigned n, jv_tally *tally) {
    for (unsigned k = 1; k < n; k++)
        crew[k].runs = pthread_create(&crew[k].thread, NULL, work, &crew[k]) == 0;
    work(&crew[0]);
    for (unsigned k = 1; k < n; k++)
        if (crew[k].runs)
            pthread_join(crew[k].thread, NULL);
    jv_status status = JV_OK;
    for (unsigned k = 0; k < n; k++) {
        if (crew[k].status != JV_OK)
            status = crew[k].status;
        jv_tally_join(tally, &crew[k].tally);
    }
    return status;
}

jv_status jv_sample_run(const jv_response *response, const jv_sample_plan *plan, jv_tally *tally,
                        bool *interrupted) {
    jv_pool pool = {.response = response, .plan = plan};
    uint64_t first;
    jv_sample_share(plan, &first, &pool.end);
    pool.draws = draws_until(plan, pool.end) - draws_until(plan, first);
    atomic_init(&pool.next, first);
    atomic_init(&pool.done, 0);
    atomic_init(&pool.stop, false);
    unsigned n = plan->threads;
    if (n > pool.end - first)
        n = pool.end > first ? (unsigned)(pool.end - first) : 1;
    jv_crew *crew = jv_zalloc(n, sizeof *crew);
    jv_status status = crew ? JV_OK : JV_ERR_MEMORY;
    unsigned hired = 0;
    while (hired < n && status == JV_OK) {
        status = hire(&crew[hired], &pool, hired == 0);
        hired++;
    }
    if (status == JV_OK)
        status = run_crew(crew, n, tally);
    for (unsigned k = 0; k < hired; k++)
        dismiss(&crew[k]);
    jv_free(crew);
    *interrupted = pool.interrupted;
    return status;
}
