/* A MIDI sequencer that does nothing, for a host that will not start on a machine without one (/dev/snd/seq).
   gcc -w -shared -fPIC -o silent_sequencer.so silent_sequencer.c, then LD_PRELOAD. The declarations are those of
   ALSA's sequencer as far as the host reads them; arguments that are not looked at are left away. */
#include <poll.h>
#include <stdlib.h>
#include <unistd.h>

static int ends[2] = {-1, -1};
static int ports = 0;

int snd_seq_open(void **sequencer)
{
    if (ends[0] < 0 && pipe(ends))
        return -1;
    *sequencer = calloc(1, 4096);
    return 0;
}

int snd_seq_close(void *sequencer)
{
    free(sequencer);
    return 0;
}

int snd_seq_client_id() { return 128; }
int snd_seq_create_simple_port() { return ports++; }
int snd_seq_poll_descriptors_count() { return 1; }

int snd_seq_poll_descriptors(void *sequencer, struct pollfd *polled)
{
    polled[0].fd = ends[0];
    polled[0].events = POLLIN;
    return 1;
}

/* -EAGAIN: there is no event, ever. */
int snd_seq_event_input(void *sequencer, void **event)
{
    if (event)
        *event = 0;
    return -11;
}

#define DONE(name) int name() { return 0; }
DONE(snd_seq_set_client_name) DONE(snd_seq_alloc_queue) DONE(snd_seq_free_queue) DONE(snd_seq_control_queue)
DONE(snd_seq_delete_simple_port) DONE(snd_seq_drain_output) DONE(snd_seq_drop_input) DONE(snd_seq_drop_output)
DONE(snd_seq_event_input_pending) DONE(snd_seq_event_output) DONE(snd_seq_event_output_direct) DONE(snd_seq_free_event)
DONE(snd_seq_get_port_info) DONE(snd_seq_get_queue_status) DONE(snd_seq_get_queue_tempo) DONE(snd_seq_remove_events)
DONE(snd_seq_set_port_info) DONE(snd_seq_set_queue_tempo) DONE(snd_seq_set_queue_timer) DONE(snd_seq_subscribe_port)
DONE(snd_seq_unsubscribe_port)

/* -ENOENT: there is nobody else. */
#define NOBODY(name) int name() { return -2; }
NOBODY(snd_seq_get_any_client_info) NOBODY(snd_seq_get_any_port_info) NOBODY(snd_seq_query_next_client)
NOBODY(snd_seq_query_next_port) NOBODY(snd_seq_query_port_subscribers)
