// Eight bits to three digits by an array of cells, with a fault on demand.
module converter_cells (
    input  wire [7:0]  binary,
    input  wire [7:0]  fault_a,
    input  wire [7:0]  fault_b,
    output wire [11:0] bcd
);
`define F(k) (fault_a == (k) || fault_b == (k))
    wire [7:0]  fed = `F(9) ? {binary[0], binary[1], binary[2], binary[3], binary[4], binary[5], binary[6], binary[7]} :
                      `F(10) ? {1'b0, binary[6:0]} : `F(11) ? {2'b0, binary[5:0]} : `F(12) ? binary & 8'hfb :
                      `F(13) ? {binary[7:2], binary[0], binary[1]} : `F(14) ? ~binary : binary;
    wire [3:0]  least = `F(1) ? 4'd6 : `F(2) ? 4'd4 : `F(3) ? 4'd3 : `F(15) ? 4'd8 : 4'd5;
    wire [11:0] row [0:8];
    assign row[0] = 12'd0;
    genvar i, d;
    generate
        for (i = 0; i < 8; i = i + 1) begin : shift
            wire [11:0] fixed;
            for (d = 0; d < 3; d = d + 1) begin : digit
                add3_cell cell_i (
                    .in(row[i][4 * d +: 4]), .least(least),
                    .add(`F(16) ? 4'd2 : 4'd3),
                    .on(!`F(8) && !(`F(4) && d == 0) && !(`F(5) && d == 1)),
                    .out(fixed[4 * d +: 4])
                );
            end
            assign row[i + 1] = {fixed[10:0], fed[7 - i]};
        end
    endgenerate
    assign bcd = `F(18) ? {4'd0, row[8][7:0]} : `F(22) ? {row[8][3:0], row[8][7:4], row[8][11:8]} : row[8];
`undef F
endmodule

module add3_cell (
    input  wire [3:0] in, least, add,
    input  wire       on,
    output wire [3:0] out
);
    assign out = on && in >= least ? in + add : in;
endmodule
