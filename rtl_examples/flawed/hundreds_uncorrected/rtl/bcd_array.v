// Ten bits to four separate digits through an array of add-3 cells made by a generate loop.
// Row r holds the digits after r shifts; bits enter at the right, most significant first.
module bcd_array (
    input  wire [9:0] value,
    output wire [3:0] thousands,
    output wire [3:0] hundreds,
    output wire [3:0] tens,
    output wire [3:0] ones
);
    localparam BITS = 10;
    localparam DIGITS = 4;

    wire [4*DIGITS*(BITS+1)-1:0] rows;

    assign rows[4*DIGITS-1:0] = {4*DIGITS{1'b0}};

    genvar r, d;
    generate
        for (r = 0; r < BITS; r = r + 1) begin : row
            wire [4*DIGITS-1:0] current = rows[4*DIGITS*r +: 4*DIGITS];
            wire [4*DIGITS-1:0] corrected;

            for (d = 0; d < DIGITS - 2; d = d + 1) begin : digit
                add3 cell_i (.a(current[4*d +: 4]), .y(corrected[4*d +: 4]));
            end

            assign corrected[4*DIGITS-1:4*DIGITS-8] = current[4*DIGITS-1:4*DIGITS-8];

            assign rows[4*DIGITS*(r+1) +: 4*DIGITS] = {corrected[4*DIGITS-2:0], value[BITS-1-r]};
        end
    endgenerate

    assign {thousands, hundreds, tens, ones} = rows[4*DIGITS*BITS +: 4*DIGITS];
endmodule
