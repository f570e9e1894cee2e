// A digit on seven segments out of a memory of words, with a fault on demand.
module decoder_rom (
    input  wire [3:0] digit,
    input  wire       blank,
    input  wire       lamp_test,
    input  wire [7:0] fault_a,
    input  wire [7:0] fault_b,
    output wire [6:0] seg_n
);
`define F(k) (fault_a == (k) || fault_b == (k))
    // The word of digit 0 is the lowest, g is the first bit of each.
    wire [111:0] rom = {42'd0, 7'h6f, 7'h7f, 7'h07, 7'h7d, 7'h6d, 7'h66, 7'h4f, 7'h5b, 7'h06, 7'h3f};
    wire [6:0]   word = rom[7 * digit +: 7];
    wire [6:0]   wrong = (`F(1) && digit == 2 ? 7'h01 : 7'h00) ^ (`F(2) && digit == 4 ? 7'h01 : 7'h00) ^
                         (`F(4) && digit == 8 ? 7'h7f : 7'h00) ^ (`F(6) && digit > 9 ? 7'h40 : 7'h00) ^
                         (`F(7) ? word & 7'h08 : 7'h00);
    wire [6:0]   test = {7{lamp_test && !`F(14)}} & (`F(10) ? 7'h3f : 7'h7f);
    wire [6:0]   mask = {7{(blank && !`F(12)) ^ `F(13)}};
    wire [6:0]   lit  = ((word ^ wrong) & ~mask | (`F(11) ? 7'h40 & mask : 7'h00)) & {7{!(lamp_test && !`F(14))}} | test;
    assign seg_n = `F(18) ? lit : `F(16) ? ~{lit[0], lit[1], lit[2], lit[3], lit[4], lit[5], lit[6]} : ~lit;
`undef F
endmodule
