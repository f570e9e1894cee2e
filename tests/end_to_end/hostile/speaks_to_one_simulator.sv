// does: puts C++ into the program that one simulator makes
// named: refused `systemc_header
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 10) ? 0 : q + 1;
`systemc_header
`verilog
endmodule
