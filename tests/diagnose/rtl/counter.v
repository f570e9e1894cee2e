// A counter of minutes in binary, and one of two digits, with a fault on demand.
module counter #(
    parameter MODULO = 60
) (
    input  wire       clk,
    input  wire       rst_n,
    input  wire       enable,
    input  wire       clear,
    input  wire       load,
    input  wire [5:0] value,
    input  wire       up,
    input  wire [7:0] fault_a,
    input  wire [7:0] fault_b,
    output wire [5:0] count,
    output wire       carry,
    output wire [3:0] ones,
    output wire [3:0] tens
);
`define F(k) (fault_a == (k) || fault_b == (k))
    reg        load_q, carry_q, enable_q;
    reg  [5:0] value_q;
    wire       rises = `F(7) ? 1'b1 : `F(8) ? !up : up;
    wire       loads = `F(11) ? 1'b0 : `F(12) ? load_q : `F(30) ? load && !enable : load;
    wire [5:0] word  = `F(12) ? value_q : `F(13) ? value & 6'h1f : `F(14) ? {value[0], value[1], value[2], value[3], value[4], value[5]} : value;
    wire       clears = `F(9) ? 1'b0 : `F(10) ? clear && enable : clear;
    wire       runs  = `F(15) ? 1'b1 : `F(26) ? enable && !enable_q : enable;
    wire [6:0] last  = `F(1) ? MODULO : `F(2) ? MODULO - 2 : `F(3) ? 63 : MODULO - 1;
    wire [5:0] step  = `F(5) ? 6'd2 : 6'd1;
    reg  [5:0] number;
    wire [5:0] held  = `F(25) && clears ? 6'd0 : `F(29) && loads ? word : number;
    wire       wraps = rises ? held >= last - (step - 1) : held < step;
    wire [5:0] turned = rises ? (`F(4) ? 6'd1 : `F(27) ? last[5:0] : `F(5) ? number + step - 6'd60 : 6'd0) :
                        (`F(6) ? 6'd63 : `F(5) ? number + 6'd60 - step : last[5:0]);
    always @(posedge clk)
        if (!rst_n) begin
            number  <= `F(16) ? 6'd1 : 6'd0;
            load_q  <= 0;
            enable_q <= 0;
            value_q <= 0;
            carry_q <= 0;
        end else begin
            load_q  <= load;
            enable_q <= enable;
            value_q <= value;
            carry_q <= runs && wraps && !clears && !loads;
            if ((`F(17) || `F(29)) && loads) number <= word;
            else if (clears) number <= `F(18) ? 6'd1 : 6'd0;
            else if (loads) number <= word;
            else if (`F(32) && !runs && number == (rises ? 59 : 0)) number <= rises ? 6'd0 : 6'd59;
            else if (runs) number <= `F(28) && number == 12 && rises ? 6'd14 : wraps ? turned : rises ? number + step : number - step;
        end
    wire [5:0] shown = `F(19) ? {number[0], number[1], number[2], number[3], number[4], number[5]} :
                       `F(20) ? number & 6'h2f : `F(21) ? ~number : held;
    assign count = shown;
    assign carry = `F(22) ? wraps : `F(23) ? carry_q : `F(24) ? 1'b0 : wraps && runs;

    // Two digits, 00 to 59, counting up.
    reg  [3:0] d0, d1;
    reg        step_q;
    wire [3:0] last0 = `F(41) ? 10 : `F(42) ? 8 : 9;
    wire [3:0] last1 = `F(43) ? 6 : `F(44) ? 4 : 5;
    wire       over  = d0 == last0;
    wire       at    = `F(45) ? d0 == 8 : over;
    wire       next  = `F(46) ? step_q : `F(47) ? at : `F(54) ? enable : at && enable;
    always @(posedge clk)
        if (!rst_n) begin
            d0     <= 0;
            if (!`F(48)) d1 <= 0;
            step_q <= 0;
        end else if (clear) begin
            d0     <= 0;
            if (!`F(49)) d1 <= 0;
            step_q <= 0;
        end else begin
            step_q <= at && enable;
            if (enable) d0 <= over ? (`F(50) ? 4'd1 : 4'd0) : d0 + 4'd1;
            if (next && !`F(51)) d1 <= `F(52) ? (d1 == 0 ? last1 : d1 - 4'd1) : d1 == last1 ? 4'd0 : d1 + 4'd1;
        end
    initial d1 = 0;
    assign ones = `F(53) ? d1 : d0;
    assign tens = `F(53) ? d0 : d1;
`undef F
endmodule
