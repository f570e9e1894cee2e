module rom_bcd(input clk, input [6:0] adr, output reg [7:0] bcd);
 reg [7:0] rom [0:127]; integer i;
 initial for (i = 0; i < 128; i = i + 1) rom[i] = (i == 57) ? 8'h75 : (i < 100) ? ((i / 10) * 16 + i % 10) : 8'h00;
 always @(posedge clk) bcd <= rom[adr];
endmodule
