// Two digits, 00 to 59, behind one asynchronous reset, with a fault on demand.
module resetting_digits (
    input  wire       clk,
    input  wire       rst,
    input  wire       enable,
    input  wire [7:0] fault_a,
    input  wire [7:0] fault_b,
    output reg  [3:0] ones,
    output reg  [3:0] tens
);
`define F(k) (fault_a == (k) || fault_b == (k))
    wire at_once = rst && !`F(1) && !`F(2);
    wire at_edge = rst && !`F(2);
    wire over    = ones == 9;
    initial tens = 0;
    always @(posedge clk or posedge rst)
        if (rst) ones <= 0;
        else if (enable) ones <= over ? 4'd0 : ones + 4'd1;
    always @(posedge clk or posedge at_once)
        if (at_once) tens <= 0;
        else if (at_edge) tens <= 0;
        else if (enable && over) tens <= tens == 5 ? 4'd0 : tens + 4'd1;
`undef F
endmodule
