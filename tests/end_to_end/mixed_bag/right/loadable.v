module loadable_counter(clk, rst, ld, en, d, q);
  input clk, rst, ld, en;
  input [7:0] d;
  output reg [7:0] q;
  always @(posedge clk)
    if (rst) q <= 8'h00;
    else if (ld) q <= d;
    else if (en) q <= q + 8'h01;
endmodule
