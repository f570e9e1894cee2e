// does: calls itself what a harness might be called
// named: fails
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 10) ? 0 : q + 1;
    reg go = 0, done = 0, stimulus = 0, trace = 0;
endmodule
module everyedge; endmodule
module harness; dial dut (1'b0, 1'b0, 1'b0, ); endmodule
