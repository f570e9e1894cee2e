// Seconds and minutes counted down to 00:00, with a fault on demand.
module countdown #(
    parameter CLK_HZ = 4
) (
    input  wire       clk,
    input  wire       rst_n,
    input  wire       load,
    input  wire [5:0] load_seconds,
    input  wire [5:0] load_minutes,
    input  wire       enable,
    input  wire [7:0] fault_a,
    input  wire [7:0] fault_b,
    output reg  [5:0] seconds,
    output reg  [5:0] minutes,
    output wire       done
);
`define F(k) (fault_a == (k) || fault_b == (k))
    reg  [3:0] clocks;
    reg        finished, load_q;
    reg  [5:0] s_q, m_q;
    wire       full  = clocks == (`F(1) ? CLK_HZ : CLK_HZ - 1);
    wire       zero  = seconds == 0 && minutes == 0;
    wire       loads = `F(2) ? load_q : `F(3) ? load && enable : load;
    wire [5:0] to_s  = `F(2) ? s_q : `F(4) ? load_minutes : load_seconds;
    wire [5:0] to_m  = `F(2) ? m_q : `F(4) ? load_seconds : load_minutes;
    always @(posedge clk)
        if (!rst_n) begin
            clocks   <= 0;
            seconds  <= 0;
            minutes  <= 0;
            finished <= 0;
            load_q   <= 0;
            s_q      <= 0;
            m_q      <= 0;
        end else begin
            load_q   <= load;
            s_q      <= load_seconds;
            m_q      <= load_minutes;
            if (zero) finished <= 1;
            if (loads) begin
                if (!`F(5)) clocks <= 0;
                seconds <= to_s;
                if (!`F(6)) minutes <= to_m;
            end else if (enable && (!zero || `F(7))) begin
                clocks <= full ? 4'd0 : clocks + 4'd1;
                if (full) begin
                    if (seconds != 0) seconds <= seconds - 6'd1;
                    else begin
                        seconds <= `F(8) ? 6'd63 : `F(9) ? 6'd58 : 6'd59;
                        minutes <= minutes == 0 ? 6'd59 : minutes - 6'd1;
                    end
                end
            end
        end
    assign done = `F(10) ? zero || finished : `F(11) ? !zero : zero;
`undef F
endmodule
