// four digits on shared lines, 65,536 clocks each, from whatever the counter begins with
module four_slow(input clk, input [15:0] data, output [7:0] seg, output [3:0] dig);
reg [17:0] cnt = 0;
always @(posedge clk) cnt <= cnt + 1;
wire [1:0] n = cnt[17:16];
assign dig = ~(4'b0001 << n);
wire [3:0] h = data >> (n * 4);
reg [6:0] s;
always @* case(h)
 0: s = 7'b0111111; 1: s = 7'b0000110; 2: s = 7'b1011011; 3: s = 7'b1001111;
 4: s = 7'b1100110; 5: s = 7'b1101101; 6: s = 7'b1111101; 7: s = 7'b0000111;
 8: s = 7'b1111111; 9: s = 7'b1101111; 10: s = 7'b1110111; 11: s = 7'b1111100;
 12: s = 7'b0111000; 13: s = 7'b1011110; 14: s = 7'b1111001; 15: s = 7'b1110001;
endcase
assign seg = {1'b1, ~s};
endmodule
