module lfsr8(input clk, input rst, output reg [7:0] q);
 always @(posedge clk) if (rst) q <= 8'h01; else q <= {q[6:0], q[7]^q[5]^q[4]^q[3]};
endmodule
