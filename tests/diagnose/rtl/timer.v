// Seconds, minutes and hours, with a fault on demand.
module timer #(
    parameter CLK_HZ = 4
) (
    input  wire       clk,
    input  wire       rst,
    input  wire       enable,
    input  wire       clear,
    input  wire [7:0] fault_a,
    input  wire [7:0] fault_b,
    output wire [5:0] seconds,
    output wire [5:0] minutes,
    output wire [6:0] hours,
    output wire       tick
);
`define F(k) (fault_a == (k) || fault_b == (k))
    localparam SECONDS = 6, MINUTES = 5, HOURS = 7;
    wire run = `F(1) ? 1'b1 : `F(2) ? !enable : enable;
    wire [3:0] stop = `F(3) ? CLK_HZ : `F(4) ? CLK_HZ - 2 : CLK_HZ - 1;
    reg  [3:0] clocks;
    reg  [5:0] s, m;
    reg  [6:0] h;
    reg        carry_m, carry_h, noted_m;
    reg  [3:0] unreset;
    wire full  = (`F(40) ? unreset : clocks) == stop;
    wire ticks = full && (run || `F(42));
    wire count = `F(5) || run;
    wire [5:0] last_s = `F(7) ? SECONDS : `F(8) ? SECONDS - 2 : SECONDS - 1;
    wire [5:0] last_m = `F(9) ? MINUTES : `F(10) ? MINUTES - 2 : MINUTES - 1;
    wire [6:0] last_h = `F(11) ? HOURS : `F(12) ? HOURS - 2 : `F(13) ? 7'd127 : HOURS - 1;
    wire end_s = `F(14) ? s == 0 : `F(15) ? s == last_s - 1 : s == last_s;
    wire end_m = m == last_m;
    wire to_m  = `F(16) ? carry_m : `F(43) ? ticks && noted_m : `F(44) ? end_s : `F(17) ? full && end_s : `F(18) ? ticks : ticks && end_s;
    wire to_h  = `F(19) ? carry_h : `F(20) ? ticks && end_m : `F(21) ? ticks && end_s : `F(22) ? full && end_s && end_m : ticks && end_s && end_m;
    always @(posedge clk or posedge rst)
        if (rst) begin
            if (!`F(39)) clocks <= 0;
            s       <= `F(23) ? 6'd1 : 6'd0;
            m       <= 0;
            if (!`F(41)) h <= 0;
            carry_m <= 0;
            noted_m <= 0;
            carry_h <= 0;
        end else if (clear && !`F(24) && !(`F(25) && !enable)) begin
            if (`F(38)) begin
                if (count) clocks <= full ? 4'd0 : clocks + 4'd1;
            end else if (!`F(26)) clocks <= 0;
            s       <= 0;
            if (!`F(27)) m <= 0;
            if (!`F(28)) h <= 0;
            carry_m <= 0;
            noted_m <= 0;
            carry_h <= 0;
        end else begin
            if (count) clocks <= full ? 4'd0 : clocks + 4'd1;
            else if (`F(6)) clocks <= 0;
            carry_m <= ticks && end_s;
            if (ticks) noted_m <= end_s;
            carry_h <= ticks && end_s && end_m;
            if (ticks && !`F(29)) s <= `F(30) ? (s == 0 ? last_s : s - 6'd1) : s == last_s ? (`F(31) ? 6'd1 : 6'd0) : s + 6'd1;
            if (to_m && !`F(32)) m <= m == last_m ? 6'd0 : m + 6'd1;
            if (to_h && !`F(33)) h <= h == last_h ? 7'd0 : h + 7'd1;
        end
    always @(posedge clk)
        if (clear && !rst) unreset <= 0;
        else if (count) unreset <= full ? 4'd0 : unreset + 4'd1;
    initial begin
        clocks = 0;
        unreset = 0;
        h = 0;
    end
    assign seconds = `F(34) ? m : `F(35) ? s & 6'h3b : s;
    assign minutes = `F(34) ? s : m;
    assign hours   = h;
    reg tick_q;
    always @(posedge clk or posedge rst) if (rst) tick_q <= 0; else tick_q <= ticks;
    assign tick = `F(36) ? tick_q : `F(37) ? !ticks : ticks;
`undef F
endmodule
