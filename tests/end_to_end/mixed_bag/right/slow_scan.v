// four hex digits, multiplexed with a slow clock made from the fast one
module slow_scan(input clk, input [15:0] num, output reg [3:0] digit_en, output reg [6:0] seg);
 reg [7:0] div = 0; reg [1:0] s = 0;
 wire sclk = div[7];
 always @(posedge clk) div <= div + 1;
 function [6:0] f(input [3:0] v);
  case (v) 0:f=7'h3f;1:f=7'h06;2:f=7'h5b;3:f=7'h4f;4:f=7'h66;5:f=7'h6d;6:f=7'h7d;7:f=7'h07;8:f=7'h7f;9:f=7'h6f;10:f=7'h77;11:f=7'h7c;12:f=7'h39;13:f=7'h5e;14:f=7'h79;15:f=7'h71; endcase
 endfunction
 always @(posedge sclk) begin
  s <= s + 1;
  case (s)
   0: begin digit_en <= 4'b0001; seg <= f(num[3:0]); end
   1: begin digit_en <= 4'b0010; seg <= f(num[7:4]); end
   2: begin digit_en <= 4'b0100; seg <= f(num[11:8]); end
   3: begin digit_en <= 4'b1000; seg <= f(num[15:12]); end
  endcase
 end
endmodule
