module tens_counter(input clk, input rst, input en, output reg [2:0] q, output co);
  assign co = q == 5;
  always @(posedge clk) if (rst) q <= 0; else if (en) q <= co ? 0 : q + 1;
endmodule
module ones_counter(input clk, input rst, input en, output reg [3:0] q, output co);
  assign co = en && q == 9;
  always @(posedge clk) if (rst) q <= 0; else if (en) q <= co ? 0 : q + 1;
endmodule
module sixty(input clk, input rst, input en, output [3:0] ones, output [2:0] tens, output carry);
  wire c1;
  ones_counter u0(.clk(clk), .rst(rst), .en(en), .q(ones), .co(c1));
  tens_counter u1(.clk(clk), .rst(rst), .en(c1), .q(tens), .co(carry));
endmodule
