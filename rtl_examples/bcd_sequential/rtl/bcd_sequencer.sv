// One shift per clock: start takes the value, busy lasts one clock per bit, done marks the clock
// in which the new digits are there. They stay until the next conversion ends.
module bcd_sequencer #(
    parameter int WIDTH  = 10,
    parameter int DIGITS = 4
) (
    input  logic                clk,
    input  logic                rst_n,
    input  logic                start,
    input  logic [WIDTH-1:0]    binary,
    output logic [4*DIGITS-1:0] bcd,
    output logic                busy,
    output logic                done
);
    typedef enum logic [1:0] {IDLE, SHIFT, FINISH} state_t;

    localparam int STEP_BITS = $clog2(WIDTH + 1);

    state_t               state;
    logic [WIDTH-1:0]     rest;
    logic [4*DIGITS-1:0]  work, corrected;
    logic [STEP_BITS-1:0] steps;

    always_comb
        for (int d = 0; d < DIGITS; d++)
            corrected[4*d +: 4] = work[4*d +: 4] > 4'd4 ? work[4*d +: 4] + 4'd3 : work[4*d +: 4];

    always_ff @(posedge clk or negedge rst_n)
        if (!rst_n) begin
            state <= IDLE;
            rest  <= '0;
            work  <= '0;
            steps <= '0;
            bcd   <= '0;
            done  <= 1'b0;
        end else begin
            done <= 1'b0;
            case (state)
                IDLE: if (start) begin
                    state <= SHIFT;
                    rest  <= binary;
                    work  <= '0;
                    steps <= STEP_BITS'(WIDTH);
                end
                SHIFT: begin
                    work  <= {corrected[4*DIGITS-2:0], rest[WIDTH-1]};
                    rest  <= rest << 1;
                    steps <= steps - 1'b1;
                    if (steps == STEP_BITS'(1)) state <= FINISH;
                end
                FINISH: begin
                    state <= IDLE;
                    bcd   <= work;
                    done  <= 1'b1;
                end
                default: state <= IDLE;
            endcase
        end

    assign busy = state != IDLE;
endmodule
