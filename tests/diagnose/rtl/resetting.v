// A count behind a reset that is to be asynchronous and active high, with a fault on demand.
module resetting (
    input  wire       clk,
    input  wire       rst,
    input  wire       enable,
    input  wire [7:0] fault_a,
    input  wire [7:0] fault_b,
    output reg  [3:0] count
);
`define F(k) (fault_a == (k) || fault_b == (k))
    wire at_once = `F(1) || `F(3) ? 1'b0 : `F(2) ? !rst : rst;
    wire at_edge = `F(1) && rst;
    initial count = 0;
    always @(posedge clk or posedge at_once)
        if (at_once) count <= 0;
        else if (at_edge) count <= 0;
        else if (enable) count <= count == 9 ? 4'd0 : count + 4'd1;
`undef F
endmodule
