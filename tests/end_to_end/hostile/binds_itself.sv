// does: binds a module to others
// named: does not compile
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 10) ? 0 : q + 1;
endmodule
module evil; initial $finish; endmodule
bind harness evil u ();
