// The main program around a verilated design: it plays bursts at native speed.
//
// One byte on the command socket starts a burst, another one reports its end; in between time stands
// still. The records are described in records.py, the points in time in timing.py. Generated beside
// this: Vdesign.h and player_config.h.

#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <sys/socket.h>
#include <time.h>
#include <unistd.h>

#include <cerrno>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <memory>
#include <string>
#include <vector>

#include "Vdesign.h"
#include "player_config.h"
#include "verilated.h"

namespace {

constexpr uint32_t COUNT_MASK = (1u << COUNT_BITS) - 1;
constexpr uint64_t BEAT_CLOCKS = 4096;  // how often the wall clock is looked at
constexpr double BEAT_SECONDS = 0.2;

class Input {
    int m_fd = -1;
    std::vector<uint8_t> m_data = std::vector<uint8_t>(1 << 16);
    size_t m_at = 0, m_end = 0;

public:
    void open(const char* path) { m_fd = fileno(fopen(path, "rb")); }
    // False at end of file. Data already read stays until it is consumed.
    bool need(size_t bytes) {
        if (m_end - m_at >= bytes) return true;
        memmove(m_data.data(), m_data.data() + m_at, m_end - m_at);
        m_end -= m_at, m_at = 0;
        if (m_data.size() < bytes) m_data.resize(bytes);
        while (m_end < bytes) {
            const ssize_t got = read(m_fd, m_data.data() + m_end, m_data.size() - m_end);
            if (got < 0 && errno == EINTR) continue;
            if (got <= 0) return false;
            m_end += got;
        }
        return true;
    }
    uint32_t word(size_t index) const {
        uint32_t value;
        memcpy(&value, m_data.data() + m_at + 4 * index, 4);
        return __builtin_bswap32(value);
    }
    void consume(size_t words) { m_at += 4 * words; }
};

class Output {
    int m_fd = -1;
    std::vector<uint32_t> m_data;

public:
    void open(const char* path) { m_fd = fileno(fopen(path, "wb")); }
    void put(const uint32_t* words, uint32_t stamp) {
        m_data.insert(m_data.end(), words, words + OUTPUT_WORDS);
        m_data.push_back(stamp);
        if (m_data.size() >= 1 << 14) flush();
    }
    void flush() {
        const char* at = reinterpret_cast<const char*>(m_data.data());
        size_t left = m_data.size() * 4;
        while (left) {
            const ssize_t put = write(m_fd, at, left);
            if (put < 0 && errno == EINTR) continue;
            if (put < 0) _exit(1);
            at += put, left -= put;
        }
        m_data.clear();
    }
};

Input stimulus;
Output trace;
VerilatedContext* context;
Vdesign* top;
uint64_t unit;  // steps of the simulation's precision in a picosecond

// The row that comes next, most significant word first, into the port.
template <class T> void set(T& port, bool inverted) {
    const uint32_t flip = inverted ? ~0u : 0u;
    if constexpr (sizeof(T) <= 4) {
        port = static_cast<T>((stimulus.word(INPUT_WORDS) ^ flip) & INPUT_TOP_MASK);
    } else if constexpr (sizeof(T) == 8) {
        const uint32_t high = (stimulus.word(1) ^ flip) & INPUT_TOP_MASK;
        port = (static_cast<T>(high) << 32) | (stimulus.word(2) ^ flip);
    } else {
        for (int i = 0; i < INPUT_WORDS; ++i) port[i] = stimulus.word(INPUT_WORDS - i) ^ flip;
        port[INPUT_WORDS - 1] &= INPUT_TOP_MASK;
    }
}

void advance(uint64_t to) {
    while (top->eventsPending() && top->nextTimeSlot() <= to) {
        context->time(top->nextTimeSlot());
        top->eval();
    }
    context->time(to);
}

// Between two rows the clock stays at its active level: the next one may drive in that half.
class Burst {
    // When the clock goes to its inactive level: the zero of the coming cycle.
    uint64_t m_base = context->time() + (top->clk ? (PERIOD_PS - ACTIVE_PS) * unit : 0);
    uint64_t m_cycle = 0;
    uint32_t m_last[OUTPUT_WORDS] = {};
    bool m_forced = true;
    double m_beat = seconds();

    static double seconds() {
        timespec now;
        clock_gettime(CLOCK_MONOTONIC_COARSE, &now);
        return now.tv_sec + now.tv_nsec * 1e-9;
    }
    void sample() {
        uint32_t now[OUTPUT_WORDS] = {};
        memcpy(now, &top->now, sizeof(top->now) < sizeof(now) ? sizeof(top->now) : sizeof(now));
        if (!m_forced && !memcmp(now, m_last, sizeof(now))) return;
        trace.put(now, m_cycle & COUNT_MASK);
        memcpy(m_last, now, sizeof(now));
        m_forced = false;
    }
    void fall() {
        advance(m_base);
        top->clk = 0;
        top->eval();
    }
    void clock() {
        advance(m_base + SAMPLE_PS * unit);
        sample();
        advance(m_base + ACTIVE_PS * unit);
        top->clk = 1;
        top->eval();
        m_base += PERIOD_PS * unit;
        if (++m_cycle % BEAT_CLOCKS == 0) beat();
    }
    void beat() {
        const double now = seconds();
        if (now - m_beat < BEAT_SECONDS) return;
        m_beat = now;
        static const uint32_t nothing[OUTPUT_WORDS] = {};
        trace.put(nothing, (uint32_t{TAG_BEAT} << COUNT_BITS) | (m_cycle & COUNT_MASK));
        trace.flush();
    }
    void row() {
        const bool early = stimulus.word(0) == EARLY;
        const uint32_t clocks = early ? 0 : stimulus.word(0);
        if (top->clk && !early) fall();
        advance(context->time() + (clocks ? DRIVE_PS : DRIVE_ONLY_PS) * unit);
        set(top->vec, false);
        top->eval();
        if (!clocks) m_base += DRIVE_ONLY_PS * unit;
        stimulus.consume(1 + INPUT_WORDS);
        for (uint32_t i = 0; i != clocks && !context->gotFinish(); ++i) {
            if (i) fall();
            clock();
        }
    }

public:
    // False when the design or the parent has ended the simulation.
    bool play() {
        constexpr size_t bytes = 4 * (1 + INPUT_WORDS);
        while (!context->gotFinish() && stimulus.need(bytes)) {
            const uint32_t rows = stimulus.word(0), nonce = stimulus.word(INPUT_WORDS);
            stimulus.consume(1 + INPUT_WORDS);
            if (!rows) {
                uint32_t value[OUTPUT_WORDS] = {nonce};
                trace.put(value, (uint32_t{TAG_END} << COUNT_BITS) | (m_cycle & COUNT_MASK));
                trace.flush();
                return true;
            }
            for (uint32_t i = 0; i != rows; ++i) {
                if (context->gotFinish() || !stimulus.need(bytes)) return false;
                row();
            }
        }
        return false;
    }
};

// Before the first burst inputs are x on a four-state simulator, so that whatever level comes first
// is an edge: an asynchronous reset acts at once. Here the complement of the first row stands for x.
// The design sees its first evaluation only then.
bool prepare_inputs() {
    constexpr size_t row = 4 * (1 + INPUT_WORDS);
    if (!stimulus.need(row)) return false;
    if (!stimulus.word(0)) return true;
    if (!stimulus.need(2 * row)) return false;
    struct Peek {
        Peek() { stimulus.consume(1 + INPUT_WORDS); }
        ~Peek() { stimulus.consume(-(1 + INPUT_WORDS)); }
    } const peek;
    set(top->vec, true);
    return true;
}

int descriptor(const char* variable) { return atoi(getenv(variable)); }

// Let the kernel end this process when the parent's end of the pipe closes.
void tie_to_parent(int lifeline) {
    fcntl(lifeline, F_SETOWN, getpid());
    fcntl(lifeline, F_SETSIG, SIGKILL);
    fcntl(lifeline, F_SETFL, fcntl(lifeline, F_GETFL) | O_ASYNC);
    pollfd closed{lifeline, POLLIN, 0};
    if (poll(&closed, 1, 0) > 0) raise(SIGKILL);  // it closed before the kernel was told
}

// Wait for the next burst; false when the parent has had enough.
bool commanded(int commands) {
    char command;
    ssize_t got;
    do got = recv(commands, &command, 1, 0);
    while (got < 0 && errno == EINTR);
    return got == 1;
}
void report(int commands, char what) { send(commands, &what, 1, MSG_NOSIGNAL); }

[[noreturn]] void leave(int status) {
    trace.flush();
    fflush(stdout);
    _exit(status);
}

}  // namespace

// $stop, $fatal and what Verilator itself cannot go on with.
void vl_stop(const char* file, int line, const char*) VL_MT_UNSAFE {
    printf("%s:%d: the design stopped the simulation\n", file, line);
    leave(0);
}
void vl_fatal(const char* file, int line, const char*, const char* message) VL_MT_UNSAFE {
    printf("%s:%d: %s\n", file, line, message);
    leave(strstr(message, "converge") ? UNSETTLED_STATUS : FATAL_STATUS);
}

int main(int argc, char** argv) {
    const auto owned = std::make_unique<VerilatedContext>();
    context = owned.get();
    context->commandArgs(argc, argv);
    // Registers that nothing sets start with arbitrary values, the same in every run.
    context->randReset(2);
    context->randSeed(1);
    const auto design = std::make_unique<Vdesign>(context, "");
    top = design.get();
    unit = 1;
    for (int exponent = context->timeprecision(); exponent < -12; ++exponent) unit *= 10;
    for (int i = 1; i < argc; ++i) {
        const std::string argument = argv[i];
        if (argument.rfind("+everyedge_stimulus=", 0) == 0) stimulus.open(argv[i] + 20);
        if (argument.rfind("+everyedge_trace=", 0) == 0) trace.open(argv[i] + 17);
    }
    const int commands = descriptor("EVERYEDGE_COMMANDS");
    tie_to_parent(descriptor("EVERYEDGE_LIFELINE"));
    report(commands, 'h');
    if (!commanded(commands)) leave(0);
    top->clk = 0;
    if (!prepare_inputs()) leave(0);
    top->eval();
    do {
        if (!Burst().play()) break;
        report(commands, 'd');
    } while (commanded(commands));
    leave(0);
}
