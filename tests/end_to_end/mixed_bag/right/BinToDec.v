module BinToDec(input wire clk, input wire [9:0] valueIn,
   output reg [3:0] thousands, output reg [3:0] hundreds, output reg [3:0] tens, output reg [3:0] ones);
   reg [9:0] v;
   always @(posedge clk) begin
      v <= valueIn;
      thousands <= v / 1000;
      hundreds <= (v / 100) % 10;
      tens <= (v / 10) % 10;
      ones <= v % 10;
   end
endmodule
